package shell

import (
	"reflect"
	"strings"
	"testing"
)

// parts are the looks of a style by their names.
func parts(s *Style) map[string]func(string) string {
	looks := map[string]func(string) string{}
	v := reflect.ValueOf(s).Elem()
	for i := range v.NumField() {
		if field := v.Type().Field(i); field.IsExported() && field.Type.Kind() == reflect.Func {
			looks[field.Name] = v.Field(i).Interface().(func(string) string)
		}
	}
	return looks
}

// What is dim, bold, a warning, an alarm or the cursor's row can be told apart in each
// theme by the escapes it has, save in plain, where signs do it and no escape is. Dark
// ink is not dimmed where only black is far enough from white.
func TestThemes(t *testing.T) {
	for _, name := range Themes {
		for _, s := range []*Style{NewStyle(name), NewStyle16(name)} {
			seen := map[string]string{}
			for part, look := range parts(s) {
				got := look("x")
				switch {
				case name == "plain" && strings.Contains(got, "\x1b"):
					t.Errorf("%s in plain is %q", part, got)
				case name != "plain" && (!strings.HasPrefix(got, "\x1b[") || !strings.HasSuffix(got, "mx"+off)):
					t.Errorf("%s in %s is %q", part, name, got)
				}
				sameAs, twice := seen[got]
				alike := part == "Cursor" || sameAs == "Cursor" || s.sixteen && name == "bright" && (part == "Dim" || sameAs == "Dim")
				if name != "plain" && twice && !alike {
					t.Errorf("%s and %s in %s are both %q", part, sameAs, name, got)
				}
				seen[got] = part
			}
			if s.Name != name {
				t.Errorf("%s calls itself %s", name, s.Name)
			}
			if got := s.Dim("") + s.Pick(""); got != "" {
				t.Errorf("nothing is drawn as %q in %s", got, name)
			}
		}
	}
	if got := NewStyle("plain").Cursor("x") + NewStyle("plain").Cursor(" "); got != "█x█" {
		t.Errorf("the cursor of plain is %q", got)
	}
}

// The page stays under what is marked within a line.
func TestThePageIsUnderEachLook(t *testing.T) {
	for _, s := range []*Style{NewStyle("dark"), NewStyle("bright"), NewStyle16("dark"), NewStyle16("bright")} {
		on, _, _ := strings.Cut(s.Page("|"), "|")
		if got, want := s.Page("a"+s.Bold("b")+"c"), on+"a"+s.Bold("b")+on+"c"+off; got != want {
			t.Errorf("in %s a page is %q, want %q", s.Name, got, want)
		}
	}
}

// The key turns through the themes, each in the colours that the terminal has.
func TestThemesTurn(t *testing.T) {
	for _, s := range []*Style{NewStyle("dark"), NewStyle16("dark")} {
		for _, want := range []string{"bright", "plain", "dark", "bright"} {
			s = NextStyle(s)
			if again := styleOf(want, s.sixteen); s.Name != want || s.Bold("x") != again.Bold("x") {
				t.Errorf("the next theme is %s with %q, want %s with %q", s.Name, s.Bold("x"), want, again.Bold("x"))
			}
		}
	}
	if a, b := NewStyle("dark").Page("x"), NewStyle16("dark").Page("x"); a == b {
		t.Errorf("many colours and few are alike: %q", a)
	}
}
