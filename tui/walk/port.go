package walk

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/plan"
	"coolhold/tui/form"
)

// portField asks to which port of the chamber the leg goes. The plan's is
// marked, and taken for granted by nobody.
func portField(c ctx, field form.Field) form.Field {
	ports := ahead.PortsOf(c.Book, c.Site, c.j.Chamber)
	field.Hint = "Read the number on the chamber's stub."
	if !byDigit(ports) {
		return typedPort(c, ports, field)
	}
	field.Hint = fmt.Sprintf("Read it on the chamber's stub. The plan: port %d.", c.j.Port) // its line may be below the window's end
	field.Manner = form.Choice
	for _, p := range ports {
		field.Options = append(field.Options, portLine(c, p))
	}
	field.Check = func(line string) (string, error) {
		return strconv.Itoa(slices.Index(field.Options, line) + 1), nil
	}
	return field
}

// byDigit tells whether each port's number is the digit it is chosen by: a key
// that means another port than it says would be worse than typing.
func byDigit(ports []plan.Port) bool {
	for i, p := range ports {
		if p.No != i+1 {
			return false
		}
	}
	return len(ports) > 0 && len(ports) <= 9
}

// shownPort is an answer as its field offers it: a port is chosen by its line.
func shownPort(c ctx, item, v string) string {
	ports := ahead.PortsOf(c.Book, c.Site, c.j.Chamber)
	if item != logbook.ItemPort || !byDigit(ports) {
		return v
	}
	for _, p := range ports {
		if strconv.Itoa(p.No) == v {
			return portLine(c, p)
		}
	}
	return v
}

func portLine(c ctx, p plan.Port) string {
	line := fmt.Sprintf("port %d: %s row, %s", p.No, p.Row, p.Bar)
	if p.No == c.j.Port {
		line += "   planned"
	}
	return line
}

// typedPort is the question in a chamber whose ports are more than digits, or
// are numbered otherwise.
func typedPort(c ctx, ports []plan.Port, field form.Field) form.Field {
	field.Manner = form.Number
	field.Label = "number of the port this leg goes to"
	field.Hint += fmt.Sprintf(" The plan says port %d, %s row, %s.", c.j.Port, c.j.Row, c.j.Bar)
	field.Check = func(said string) (string, error) {
		no, err := strconv.Atoi(said)
		if err != nil || !slices.ContainsFunc(ports, func(p plan.Port) bool { return p.No == no }) {
			return "", fmt.Errorf("chamber %s has no port %s; its ports are %s", c.j.Chamber, said, numbers(ports))
		}
		return strconv.Itoa(no), nil
	}
	return field
}

// numbers lists ports, those that follow each other as a range.
func numbers(ports []plan.Port) string {
	var parts []string
	for i := 0; i < len(ports); {
		last := i
		for last+1 < len(ports) && ports[last+1].No == ports[last].No+1 {
			last++
		}
		part := strconv.Itoa(ports[i].No)
		if last > i {
			part += "…" + strconv.Itoa(ports[last].No)
		}
		parts = append(parts, part)
		i = last + 1
	}
	return strings.Join(parts, ", ")
}
