package register

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"coolhold/logbook"
)

func text(s string) Value {
	if s == "" {
		return nil
	}
	return s
}

func first(texts ...string) Value {
	for _, s := range texts {
		if s != "" {
			return s
		}
	}
	return nil
}

func positive(n int) Value {
	if n <= 0 {
		return nil
	}
	return n
}

func nonzero(f float64) Value {
	if f == 0 {
		return nil
	}
	return f
}

func pointer[T any](p *T) Value {
	if p == nil {
		return nil
	}
	return *p
}

func firstOf[T any](ps ...*T) *T {
	for _, p := range ps {
		if p != nil {
			return p
		}
	}
	return nil
}

func moment(t time.Time, ok bool) Value {
	if !ok {
		return nil
	}
	return t
}

func whole(stored string) Value {
	n, err := strconv.Atoi(stored)
	if err != nil {
		return nil
	}
	return n
}

func decimal(stored string) Value {
	f, err := strconv.ParseFloat(stored, 64)
	if err != nil {
		return nil
	}
	return f
}

func settings(cell func(*logbook.SettingsKeyed) Value) func(Row) Value {
	return func(r Row) Value {
		if r.Weld.Settings == nil {
			return nil
		}
		return cell(r.Weld.Settings)
	}
}

// state says what the row is: the weld stands, was cut out, was given up; or a
// joint is open, not being built, or was replaced by a make-up piece.
func state(r Row) Value {
	switch {
	case r.Factory != nil:
		return NotOurs
	case r.Weld.ID != "" && r.Weld.CutOut != nil:
		return "cut out"
	case r.Weld.ID != "" && r.Weld.Abandoned != "":
		return "given up"
	case r.Weld.ID != "" && r.Weld.Walking():
		return InTheWalk
	case r.Weld.ID != "":
		return "stands"
	case r.Joint.Struck != "":
		return "not being built: " + r.Joint.Struck + endedIn(r)
	case len(r.Joint.Split) > 0:
		return "make-up piece: " + strings.Join(r.Joint.Split, " and ") + endedIn(r)
	}
	return NoWeld
}

// ends says what meets at a joint, where that is more than the one pipe.
func ends(r Row) Value {
	if len(r.Joint.Ends) == 0 {
		return nil
	}
	return text(r.Joint.PipeLine())
}

// certificate is that of a joint that came fused from a works.
func certificate(r Row) Value {
	if r.Factory == nil {
		return nil
	}
	return first(r.Factory.Certificate, "certificate not given")
}

// header is the header's way in full: the bare word for it means both ways in
// this trade.
func header(r Row) Value {
	if way := r.Joint.HeaderWay(); way != "" {
		return way
	}
	return nil
}

func weather(r Row) Value {
	if said := r.Weld.WeatherSaid(); said != (logbook.Weather{}) {
		sky, _ := logbook.ValueOf(logbook.ItemSky)
		shelter, _ := logbook.ValueOf(logbook.ItemShelter)
		return logbook.Joined(", shelter ", cmp.Or(sky.Shown(r.Weld), "weather not given"), cmp.Or(shelter.Shown(r.Weld), "not given"))
	}
	if r.Weld.Started == nil || r.Weld.LateWhy != "" || r.Shift.ID == "" {
		return nil
	}
	return r.Shift.WeatherAt(*r.Weld.Started).String()
}

func preparation(r Row) Value {
	var parts []string
	done := 0
	for _, p := range r.Weld.PrepItems() {
		a := r.Weld.Answers[p.Item]
		switch a.V {
		case logbook.Done, logbook.NoSuch:
			done++
		case "":
		default:
			parts = append(parts, p.Name+": "+r.Weld.Answered(p.Item)+because(a.Because()))
		}
	}
	if done == len(r.Weld.PrepItems()) {
		return "all done"
	}
	if done > 0 {
		parts = append(parts, fmt.Sprintf("%d of %d done", done, len(r.Weld.PrepItems())))
	}
	return text(strings.Join(parts, "; "))
}

// because is a reason in brackets, or nothing.
func because(why string) string {
	if why == "" {
		return ""
	}
	return " (" + why + ")"
}

func released(r Row) Value {
	switch {
	case r.Weld.ReleasedStated != nil:
		return *r.Weld.ReleasedStated
	case r.Weld.Released != nil:
		return r.Weld.Released.Local()
	}
	return nil
}

// indicators are those of the last look, side by side, and the worst before it
// where it was worse.
func indicators(r Row) Value {
	if len(r.Weld.Looks) == 0 {
		return nil
	}
	var looks []string
	v := logbook.LookValue("indicators")
	for _, l := range r.Weld.Looks {
		line := strings.Join(v.Each(v.Get(l.Look)), " ")
		if line != "" && (len(looks) == 0 || looks[len(looks)-1] != line) {
			looks = append(looks, line)
		}
	}
	return text(strings.Join(looks, "; then "))
}

func findings(r Row) Value {
	var parts []string
	for _, f := range r.Findings {
		line := f.Word() + " " + f.Rule
		if f.Accepted != nil {
			line += " (" + f.Accepted.Line() + ")"
		}
		parts = append(parts, line)
	}
	return text(strings.Join(parts, "; "))
}

// replacedBy is what came into the joint after a weld was cut out.
func replacedBy(r Row) Value {
	switch {
	case r.Weld.CutOut == nil:
		return nil
	case r.Next != "":
		return r.Next
	case len(r.Joint.Split) > 0:
		return "make-up piece: " + strings.Join(r.Joint.Split, " and ")
	}
	return nil
}

// itemsOf are the items of a weld whose way is told, the card left out.
func itemsOf(w logbook.Weld) []string {
	items := []string{
		logbook.ItemFitting, logbook.ItemCode, logbook.ItemBatch, logbook.ItemPrint, logbook.ItemPipeBatch,
		logbook.ItemStubBatch, logbook.ItemPlace, logbook.ItemMethod, logbook.ItemMethod2,
	}
	for _, v := range logbook.WeldValues {
		_, given := w.Answers[v.Key]
		if given && !slices.Contains(items, v.Key) && v.InRegister() != "preparation" && v.Key != logbook.ItemPort {
			items = append(items, v.Key)
		}
	}
	return items
}

// scrapedWith is the method of scraping; of each end where they are not alike.
func scrapedWith(r Row) Value {
	var ways []string
	for i, end := range logbook.Ends {
		if v, _ := logbook.ValueOf(end.Method); v.Get(r.Weld) != "" && !slices.Contains(ways, v.Shown(r.Weld)) {
			if ways = append(ways, v.Shown(r.Weld)); i > 0 && len(ways) > 1 {
				ways[0], ways[1] = "first end "+ways[0], "other end "+ways[1]
			}
		}
	}
	return text(strings.Join(ways, "; "))
}

// cameBy lists how the values of a weld came to be known, each way with its
// items: what was typed, scanned, taken as offered.
func cameBy(r Row) Value {
	ways := []logbook.How{logbook.Scanned, logbook.Typed, logbook.Offered, logbook.Carried, logbook.Computed, logbook.Later}
	items := map[logbook.How][]string{}
	add := func(how logbook.How, item string) {
		if how != "" {
			items[how] = append(items[how], item)
		}
	}
	for _, item := range itemsOf(r.Weld) {
		add(r.Weld.Answers[item].How, logbook.NameOf(item))
	}
	if a := r.Weld.Ambient; a != nil {
		add(a.How, logbook.NameOf(logbook.FieldAmbient))
	}
	if s := r.Weld.Settings; s != nil {
		add(s.How, "settings")
		add(s.ModeHow, logbook.NameOf(logbook.FieldMode))
		add(s.CoolingHow, "cooling time")
	}
	if o := r.Weld.Ohms; o != nil {
		add(o.How, "resistance")
	}
	var parts []string
	for _, how := range ways {
		if len(items[how]) > 0 {
			parts = append(parts, how.String()+": "+strings.Join(items[how], ", "))
		}
	}
	return text(strings.Join(parts, "; "))
}

// refusals are the starts that the unit refused, each with what it said.
func refusals(r Row) Value {
	var all []string
	for _, b := range r.Weld.Refused {
		_, said, _ := strings.Cut(b.Line(), ": ")
		all = append(all, said)
	}
	return text(strings.Join(all, "; "))
}

// entered says how a weld came into the log; of one from paper also by whom
// and when.
func entered(r Row) Value {
	switch {
	case r.Weld.ID == "":
		return nil
	case r.Weld.Paper != nil:
		return fmt.Sprintf("transcribed from paper by %s, %s", r.Weld.LateBy, lateAt(r.Weld))
	case r.Weld.LateWhy != "":
		return "later"
	}
	return "in the walk"
}

// lateAt is when a weld was entered later, local time.
func lateAt(w logbook.Weld) string {
	for _, t := range w.Trail {
		if t.Kind == (logbook.EnteredLater{}).Kind() {
			return logbook.TraceOf(t).At
		}
	}
	return ""
}

func notes(r Row) Value {
	var parts []string
	for _, n := range r.Weld.Notes {
		parts = append(parts, n.Text+" ("+n.By+")")
	}
	return text(strings.Join(parts, "; "))
}

// looks are all looks at a weld, each as one line.
func looks(r Row) Value {
	var parts []string
	for _, l := range r.Weld.Looks {
		parts = append(parts, l.Line())
	}
	return text(strings.Join(parts, " | "))
}

// coveredBy says who covered the joint with ground and when, and where it was not
// settled then.
func coveredBy(r Row) Value {
	if r.Cover == nil {
		return nil
	}
	if slices.Contains(r.Cover.Missing, r.Joint.Label) {
		return signed(r.Cover.Signature) + ", not settled then"
	}
	return signed(r.Cover.Signature)
}

// orders are all orders to cut a weld out that stand, each with its reason.
func orders(list []logbook.Request) Value {
	var parts []string
	for _, o := range list {
		parts = append(parts, o.Why+" ("+signed(o.Signature)+")")
	}
	return text(strings.Join(parts, "; "))
}

func ordered(o *logbook.Request) Value {
	if o == nil {
		return nil
	}
	return o.Why + " (" + signed(o.Signature) + ")"
}

// signed is who and when, in a few words.
func signed(s logbook.Signature) string {
	return s.By + ", " + s.At.Local().Format("2006-01-02 15:04")
}
