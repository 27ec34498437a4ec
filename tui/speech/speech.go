// Package speech says a window as lines: of what the window shows next only what is new,
// and hears the lines that are given for keys. It knows no screen.
package speech

import (
	"maps"
	"regexp"
	"strings"

	"coolhold/tui/shell"
)

// A Speech is what was said of the window so far: of what it shows next only what is new
// is said.
type Speech struct {
	title, screen, question string
	known                   map[string]bool // lines of the screen as it was said
	home                    map[string]bool // of the first screen, when it was last left
	news, said              map[string]bool
	keys                    map[string]string // told of a screen
}

// asks is how the present question of a form begins.
const asks = "? "

// Next is the speech with what the window shows now, and the lines to say. Where a line
// was given the question that it leads to is said in any case.
func (p Speech) Next(s shell.Spoken, given bool) (Speech, []string) {
	var out []string
	if s.Title != p.title {
		out = append(out, spoken(s.Title))
	}
	out = append(out, fresh(s.News, p.news)...)
	if given {
		out = append(out, fresh(s.Said, nil)...)
	} else {
		out = append(out, fresh(s.Said, p.said)...)
	}
	if s.Screen == "" {
		p.news = keysOf(s.News)
		return p, out
	}
	body, moved := cleaned(s.Body), s.Screen != p.screen
	if moved && p.home == nil || moved && !s.Home {
		p.known = nil
	}
	if moved && s.Home && p.home != nil {
		p.known = maps.Clone(p.home)
		delete(p.known, same(body[0])) // what to do next is said again
	}
	question := asked(body)
	said := p.fresh(body, question, given)
	if question != "" && given && !contains(said, question) {
		said = append(said, question)
	}
	out = append(out, said...)
	told := maps.Clone(p.keys)
	if moved && told[s.Screen] != s.Keys {
		out = append(out, "keys: "+foot(s.Keys))
		if told == nil {
			told = map[string]string{}
		}
		told[s.Screen] = s.Keys
	}
	p = Speech{title: s.Title, screen: s.Screen, question: question, known: keysOf(body), home: p.home, news: keysOf(s.News), said: keysOf(s.Said), keys: told}
	if s.Home {
		p.home = p.known
	}
	return p, out
}

// Whole is all that the window shows.
func (p Speech) Whole(s shell.Spoken) []string {
	_, out := Speech{}.Next(s, true)
	return out
}

// fresh is of a screen what was not said: all from its question on where that is another.
func (p Speech) fresh(body []string, question string, given bool) []string {
	var out []string
	from := len(body)
	if question != p.question || p.known == nil {
		from = index(body, question)
	}
	for i, l := range body {
		refused := given && strings.HasPrefix(l, "! ")
		if i >= from || refused || !p.known[same(l)] && !p.known[same("* "+l)] {
			out = append(out, l)
		}
	}
	return out
}

func asked(body []string) string {
	for _, l := range body {
		if strings.HasPrefix(l, asks) {
			return l
		}
	}
	return ""
}

func index(body []string, question string) int {
	for i, l := range body {
		if question != "" && l == question {
			return i
		}
	}
	return len(body)
}

func contains(lines []string, line string) bool { return index(lines, line) < len(lines) }

func fresh(lines []string, known map[string]bool) []string {
	var out []string
	for _, l := range lines {
		if l = spoken(l); l != "" && !known[same(l)] {
			out = append(out, l)
		}
	}
	return out
}

func keysOf(lines []string) map[string]bool {
	keys := map[string]bool{}
	for _, l := range lines {
		keys[same(spoken(l))] = true
	}
	return keys
}

// running are times that go on by themselves: a line in which only they change is the
// same line.
var running = regexp.MustCompile(`(?i)(hold|fusing:|fusing,?|cools|runs:) (?:\d+:)?\d+:\d\d|\b\d+ min (?:ago|since)`)

func same(line string) string { return running.ReplaceAllString(line, "$1") }

// foot is what the keys do, each by the word that is given for it.
func foot(text string) string {
	var items []string
	for _, item := range strings.Split(strings.TrimSpace(text), " · ") {
		k, does, _ := strings.Cut(strings.TrimSpace(item), " ")
		for next, rest, more := strings.Cut(does, " "); more && besides[next]; next, rest, more = strings.Cut(does, " ") {
			does = rest // another key that does the same
		}
		word := keyWords[k]
		if len([]rune(k)) == 1 && word == "" {
			word = k
		}
		switch {
		case word == "" || does == "":
			items = append(items, spoken(item))
		case word == does:
			items = append(items, word)
		default:
			items = append(items, word+": "+spoken(does))
		}
	}
	return strings.Join(items, ", ")
}

// besides are keys that stand behind another one of the same meaning.
var besides = map[string]bool{"PgDn": true, "←": true, "Enter": true, "or": true, "digit": true, "F3": true}

var keyWords = map[string]string{"→": "runs", "←": "back", "↑↓": "up or down", "Esc": "leave", "Enter": "enter", "Space": "space", "F1": "help", "?": "help"}

// cleaned are the lines of a screen without those that only part others.
func cleaned(body []string) []string {
	var out []string
	for _, l := range body {
		if l = spoken(l); l != "" {
			out = append(out, l)
		}
	}
	if len(out) == 0 {
		return []string{""}
	}
	return out
}

var (
	escape = regexp.MustCompile(`\bEsc\b`)
	gaps   = regexp.MustCompile(` {2,}`)
	words  = strings.NewReplacer("→", "runs", "←", "back", "↑↓", "up or down", "↑", "up", "↓", "down", "─", "", "━", "", "█", "")
)

// spoken is a line as it is read out: what is asked and what is chosen are marked in
// front, a key is the word that is given for it, and no gap parts columns.
func spoken(line string) string {
	mark := ""
	if rest, is := strings.CutPrefix(line, "▸ "); is {
		mark, line = asks, rest
	} else if rest, is := strings.CutPrefix(strings.TrimLeft(line, " "), "▸ "); is {
		mark, line = "* ", rest
	}
	line = strings.TrimSpace(escape.ReplaceAllString(words.Replace(line), "leave"))
	if line == "" {
		return ""
	}
	return mark + gaps.ReplaceAllString(line, "  ")
}
