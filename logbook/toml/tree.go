package toml

import (
	"bytes"
	"fmt"
	"slices"

	"github.com/pelletier/go-toml/v2/unstable"

	"coolhold/logbook/fault"
)

// kind is what sort of thing a value is, in the words used to its writer.
type kind string

const (
	text    kind = "text"
	whole   kind = "a whole number"
	decimal kind = "a decimal number"
	list    kind = "a list"
	table   kind = "a table"
	other   kind = "a date, a time, true or false"
)

// A value is one value of the file with the line it begins on.
type value struct {
	kind  kind
	line  int
	text  string   // the text, or a number as it was written
	items []*value // of a list
	group *group   // of a table
}

// A group is one table: its keys in the order of the file.
type group struct {
	line    int
	order   []string
	entries map[string]*value
}

func newGroup(line int) *group { return &group{line: line, entries: map[string]*value{}} }

func (g *group) put(key string, v *value) {
	if g.entries[key] == nil {
		g.order = append(g.order, key)
	}
	g.entries[key] = v
}

// into gives the table that key opens below g: one that is there, the newest
// of a list of tables, or a new one.
func (g *group) into(key string, line int) *group {
	if v := g.entries[key]; v != nil {
		if v.kind == list && len(v.items) > 0 {
			v = v.items[len(v.items)-1]
		}
		if v.group != nil {
			return v.group
		}
	}
	below := newGroup(line)
	g.put(key, &value{kind: table, line: line, group: below})
	return below
}

// add opens one more table of the list of tables called key.
func (g *group) add(key string, line int) *group {
	below := newGroup(line)
	v := g.entries[key]
	if v == nil || v.kind != list {
		v = &value{kind: list, line: line}
		g.put(key, v)
	}
	v.items = append(v.items, &value{kind: table, line: line, group: below})
	return below
}

// builder turns the parser's expressions into one tree.
type builder struct {
	parser unstable.Parser
	breaks []int // offsets of the line ends
	root   *group
	open   *group // the table that plain keys go to
	keys   int    // read so far
	last   int    // line of the last one
}

// maxKeys bounds the keys of a file, since the time that the decoder takes grows
// with their square.
const maxKeys = 20_000

// build reads the tree of a file. Of keys that contradict each other one wins;
// that is for the decoder to notice. The error is the parser's; then the tree
// ends where it did.
func build(data []byte) (*group, error) {
	b := builder{root: newGroup(1)}
	for i, c := range data {
		if c == '\n' {
			b.breaks = append(b.breaks, i)
		}
	}
	b.open = b.root
	b.parser.Reset(data)
	for b.parser.NextExpression() {
		b.expression(b.parser.Expression())
		if b.keys > maxKeys {
			return nil, fault.List{{Line: b.last, What: fmt.Sprintf("more than %d keys up to here: is it the right file?", maxKeys)}}
		}
	}
	return b.root, b.parser.Error()
}

func (b *builder) line(r unstable.Range) int {
	n, _ := slices.BinarySearch(b.breaks, int(r.Offset))
	return n + 1
}

func (b *builder) expression(n *unstable.Node) {
	switch n.Kind {
	case unstable.KeyValue:
		b.keyValue(b.open, n)
	case unstable.Table:
		path, line := b.path(n)
		b.open = b.walk(path, line)
	case unstable.ArrayTable:
		path, line := b.path(n)
		last := len(path) - 1
		b.open = b.walk(path[:last], line).add(path[last], line)
	}
}

func (b *builder) walk(path []string, line int) *group {
	g := b.root
	for _, key := range path {
		g = g.into(key, line)
	}
	return g
}

// path gives the parts of a dotted key and the line it stands on.
func (b *builder) path(n *unstable.Node) (path []string, line int) {
	for it := n.Key(); it.Next(); {
		if path == nil {
			line = b.line(it.Node().Raw)
		}
		path = append(path, string(it.Node().Data))
	}
	b.keys += len(path)
	b.last = line
	return path, line
}

func (b *builder) keyValue(g *group, n *unstable.Node) {
	path, line := b.path(n)
	last := len(path) - 1
	for _, key := range path[:last] {
		g = g.into(key, line)
	}
	g.put(path[last], b.value(n.Value(), line))
}

// value reads a value; line is where it stands as far as is known from outside.
func (b *builder) value(n *unstable.Node, line int) *value {
	v := &value{kind: other, line: line, text: string(bytes.ToValidUTF8(n.Data, nil))}
	switch n.Kind {
	case unstable.String:
		v.kind, v.line = text, b.line(n.Raw)
	case unstable.Integer:
		v.kind, v.line = whole, b.line(n.Raw)
	case unstable.Float:
		v.kind, v.line = decimal, b.line(n.Raw)
	case unstable.Array:
		v.kind = list
		v.items = b.items(n, line)
	case unstable.InlineTable:
		v.kind, v.line = table, b.line(n.Raw)
		v.group = newGroup(v.line)
		for it := n.Children(); it.Next(); {
			b.keyValue(v.group, it.Node())
		}
	}
	return v
}

// items reads a list. The parser keeps no place for the list itself, so a list
// inside a list stands where its first item does, or where the one before it
// ended.
func (b *builder) items(n *unstable.Node, line int) []*value {
	var items []*value
	for it := n.Children(); it.Next(); {
		v := b.value(it.Node(), line)
		if v.kind == list && len(v.items) > 0 {
			v.line = v.items[0].line
		}
		line = v.line
		items = append(items, v)
	}
	return items
}
