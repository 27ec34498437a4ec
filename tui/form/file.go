package form

import (
	"cmp"
	"path/filepath"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// A FileBox asks for a file: its name is typed, pasted or chosen from a folder. The file
// is read and checked at once; what was typed stays until it is right.
type FileBox struct {
	what  string // "plan", "table", "kit" or "photo"
	label string
	hint  string
	blank string // what Enter alone does; "" for nothing
	form  Form
	say   string        // what is wrong with it
	busy  bool          // it is being read
	from  *shell.Folder // the folder that is shown; nil: a name is typed
	at    string        // in it
}

// The messages that files and folders come back with.
type (
	inputMsg struct {
		in  shell.Input
		err error
	}
	folderMsg struct {
		folder shell.Folder
		err    error
	}
)

// NewFileBox asks for a file of a sort; blank is what Enter alone does, "" for nothing.
func NewFileBox(what, label, blank string) FileBox {
	b := FileBox{what: what, label: label, blank: blank}
	b.form = b.asks()
	return b
}

func (b FileBox) asks() Form {
	return New([]Field{{
		Item: "file", Label: b.label, Hint: cmp.Or(b.hint, "Type its name, or drop it here; ↓ chooses from a folder. ~ is your own folder."),
		Manner: Text, Blank: b.blank != "", Scan: true,
	}})
}

// Update takes a key or what was read. The input is there once a file was read and has
// no fault; blank says that Enter alone was pressed.
func (b FileBox) Update(env shell.Env, msg tea.Msg) (box FileBox, in *shell.Input, blank bool) {
	switch m := msg.(type) {
	case inputMsg:
		return b.came(m)
	case folderMsg:
		return b.listed(m), nil, false
	}
	if b.from != nil {
		return b.chosen(env, msg), nil, false
	}
	if shell.Is(msg, shell.Down) {
		return b.opens(env, ""), nil, false
	}
	if key, is := msg.(tea.KeyMsg); is && !shell.Is(key, shell.Enter) {
		b.say = "" // of another name
	}
	if b.busy {
		return b, nil, false
	}
	if shell.Is(msg, shell.Enter) && b.form.Empty() {
		if b.blank == "" {
			b.say = "type the name of a file, or choose one with ↓"
		}
		return b, nil, b.blank != ""
	}
	f, event := b.form.Update(msg)
	if event != Complete {
		b.form = f
		return b, nil, false
	}
	return b.reads(env, f.Given.V("file")), nil, false
}

// reads has the file read that was named. The box keeps the name meanwhile.
func (b FileBox) reads(env shell.Env, name string) FileBox {
	read, what := env.Outside.ReadInput, b.what
	if read == nil {
		b.busy, b.say = false, "reading files is not available here"
		return b
	}
	b.busy = true
	env.Do.Look(func() tea.Msg { in, err := read(what, name); return inputMsg{in, err} })
	return b
}

func (b FileBox) came(m inputMsg) (FileBox, *shell.Input, bool) {
	if !b.busy {
		return b, nil, false
	}
	b.busy = false
	if m.err != nil {
		b.say = logbook.Clean(strings.Split(m.err.Error(), "\n")[0])
		return b, nil, false
	}
	return NewFileBox(b.what, b.label, b.blank), &m.in, false
}

// opens asks for a folder.
func (b FileBox) opens(env shell.Env, dir string) FileBox {
	list := env.Outside.Folder
	if list == nil {
		b.say = "choosing from a folder is not available here"
		return b
	}
	what := b.what
	env.Do.Look(func() tea.Msg { f, err := list(what, dir); return folderMsg{f, err} })
	return b
}

func (b FileBox) listed(m folderMsg) FileBox {
	if m.err != nil {
		b.say = logbook.Clean(m.err.Error())
		return b
	}
	b.from, b.at, b.say = &m.folder, "", ""
	return b
}

const above = "../"

// Fresh tells whether nothing is typed in the box and no folder is shown.
func (b FileBox) Fresh() bool { return b.from == nil && b.form.Empty() }

// chosen answers the keys in a folder.
func (b FileBox) chosen(env shell.Env, msg tea.Msg) FileBox {
	key, is := msg.(tea.KeyMsg)
	if !is {
		return b
	}
	list := b.list(env)
	switch by := shell.Steps(key, max(1, env.H/2)); {
	case by != 0:
		b.at = list.Move(b.at, by)
	case shell.Is(key, shell.BackOne) && b.from.Above != "":
		return b.opens(env, b.from.Above)
	case shell.Is(key, shell.Enter) && len(list.Keys()) > 0:
		return b.enters(env, list.Keys()[list.Index(b.at)])
	}
	return b
}

func (b FileBox) enters(env shell.Env, name string) FileBox {
	dir := b.from.Path
	switch {
	case name == above:
		return b.opens(env, b.from.Above)
	case strings.HasSuffix(name, "/"):
		return b.opens(env, filepath.Join(dir, name))
	}
	b.from = nil
	return b.reads(env, filepath.Join(dir, name))
}

func (b FileBox) list(env shell.Env) widget.List {
	var names []string
	if b.from.Above != "" {
		names = append(names, above)
	}
	var rows []widget.Row
	for _, n := range append(names, b.from.Names...) {
		rows = append(rows, widget.Row{Key: n, Text: func() string { return logbook.Clean(n) }})
	}
	return env.List(rows)
}

// View draws the box, or the folder.
func (b FileBox) View(env shell.Env, height int) []string {
	var lines []string
	if b.from != nil {
		lines = append(lines, env.Style.Bold(widget.Cut(" "+b.label+": "+logbook.Clean(b.from.Path), env.W)))
		return append(lines, b.list(env).View(b.at, height-1)...)
	}
	lines = strings.Split(b.form.View(env.Style, env.W, height), "\n")
	if b.busy {
		lines = append(lines, "    reading …")
	}
	for _, l := range widget.Wrap(b.say, env.W-4) {
		if l != "" {
			lines = append(lines, env.Style.Warn("  ! "+l))
		}
	}
	return lines
}

// Leaves tells whether Esc leaves the box; in a folder it goes back to the name.
func (b FileBox) Leaves() (FileBox, bool) {
	if b.from == nil {
		return b, true
	}
	b.from = nil
	return b, false
}

// Keys are the box's.
func (b FileBox) Keys() shell.Keys {
	if b.from != nil {
		return shell.Keys{shell.On("↑↓", "choose"), shell.On("Enter", "take"), shell.On("←", "folder above"), shell.On("Esc", "type a name")}
	}
	hints := shell.Keys{shell.On("type, Enter", "give it"), shell.On("↓", "choose from a folder")}
	if b.blank != "" {
		hints = append(hints, shell.On("Enter", b.blank))
	}
	return append(hints, shell.On("Esc", "leave"))
}

// Takes is text: a name may be dropped there.
func (b FileBox) Takes() shell.Taking {
	if b.from != nil {
		return shell.NoScan
	}
	return b.form.Takes()
}

// TakingFile is a screen that takes one file and says what to do with it.
type TakingFile struct {
	Title string
	Box   FileBox
	Done  func(shell.Env, shell.Input)
}

// Update asks until a file has no fault.
func (s TakingFile) Update(env shell.Env, msg tea.Msg) shell.Screen {
	if shell.Is(msg, shell.Leave) {
		box, leaves := s.Box.Leaves()
		if s.Box = box; leaves {
			env.Do.Pop()
		}
		return s
	}
	box, in, _ := s.Box.Update(env, msg)
	s.Box = box
	if in != nil {
		s.Done(env, *in)
	}
	return s
}

// View draws the title and the box.
func (s TakingFile) View(env shell.Env) string {
	return strings.Join(append([]string{env.Style.Bold(widget.Cut(" "+s.Title, env.W)), ""}, s.Box.View(env, env.H-2)...), "\n")
}

// Keys are the box's.
func (s TakingFile) Keys(shell.Env) shell.Keys { return s.Box.Keys() }

// Topic is that of its page.
func (s TakingFile) Topic(shell.Env) string { return "file" }

// Takes is the box's.
func (s TakingFile) Takes(shell.Env) shell.Taking { return s.Box.Takes() }
