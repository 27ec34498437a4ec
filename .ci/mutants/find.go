package main

import (
	"fmt"
	"go/ast"
	"go/constant"
	"go/token"
	"go/types"
	"iter"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
)

// A mutant is one file with one place changed.
type mutant struct {
	code     *code
	file     string // absolute
	name     string // as shown, from the module's folder
	line     int
	from, to int // bytes
	begin    place
	end      place
	text     string
	says     string
}

func (m mutant) String() string { return fmt.Sprintf("%s:%d %s", m.name, m.line, m.says) }

func (m mutant) changed() []byte {
	text := m.code.text[m.file]
	return slices.Concat(text[:m.from], []byte(m.text), text[m.to:])
}

// draw puts all mutants in the order of the seed; at one line in that of the text.
func draw(t *tree, g given) []mutant {
	var all []mutant
	for _, c := range t.packages {
		for i, f := range c.files {
			s := &search{tree: t, code: c, file: c.names[i]}
			ast.PreorderStack(f, nil, s.see)
			all = append(all, s.found...)
		}
	}
	if g.at != "" {
		lines := strings.Split(g.at, ",")
		return slices.DeleteFunc(all, func(m mutant) bool { return !slices.Contains(lines, fmt.Sprintf("%s:%d", m.name, m.line)) })
	}
	rand.New(rand.NewPCG(g.seed, 0)).Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	return all
}

// inTurn are the mutants that compile; of a sample one a line, so that it
// spreads.
func inTurn(drawn []mutant, g given) iter.Seq[mutant] {
	return func(yield func(mutant) bool) {
		met := map[string]bool{}
		for _, m := range drawn {
			line := fmt.Sprintf("%s:%d", m.file, m.line)
			if g.at == "" && met[line] || !m.code.tree.compiles(m) {
				continue
			}
			met[line] = true
			if !yield(m) {
				return
			}
		}
	}
}

func sample(drawn []mutant, g given) []mutant {
	var all []mutant
	for m := range inTurn(drawn, g) {
		if len(all) == g.most && g.at == "" {
			break
		}
		all = append(all, m)
	}
	return all
}

// A search looks through one file.
type search struct {
	tree  *tree
	code  *code
	file  string
	found []mutant
	asked []*ast.SwitchStmt // that ask a question a case, met so far
}

func (s *search) see(n ast.Node, stack []ast.Node) bool {
	if s.leave(n, stack) {
		return false
	}
	var parent ast.Node
	if len(stack) > 0 {
		parent = stack[len(stack)-1]
	}
	switch n := n.(type) {
	case *ast.BinaryExpr:
		s.binary(n)
	case *ast.UnaryExpr:
		if n.Op == token.NOT {
			s.add(n.Pos(), n.X.Pos(), "", "without its !: "+s.at(n))
		}
	case *ast.BasicLit:
		s.number(n)
	case *ast.Ident:
		s.truth(n)
	case *ast.IfStmt:
		s.condition(n.Cond)
	case *ast.ForStmt:
		s.condition(n.Cond)
	case *ast.SwitchStmt:
		s.asked = append(s.asked, n)
		s.cases(n)
		s.swaps(n.Body)
	case *ast.TypeSwitchStmt:
		s.swaps(n.Body)
	case *ast.ReturnStmt:
		s.returned(n)
	case ast.Stmt:
		s.dropped(n, parent)
	}
	return true
}

// add notes the text from…to changed.
func (s *search) add(from, to token.Pos, text, says string) {
	a, b := s.tree.fset.Position(from), s.tree.fset.Position(to)
	begin, end := s.passed(from, to)
	name, err := filepath.Rel(s.tree.dir, s.file)
	if err != nil {
		name = s.file
	}
	s.found = append(s.found, mutant{
		code: s.code, file: s.file, name: filepath.ToSlash(name), line: a.Line,
		from: a.Offset, to: b.Offset, begin: begin, end: end, text: text, says: says,
	})
}

// passed is where tests pass if they come to a change. A profile does not know
// the questions of a switch, so there it is the word switch.
func (s *search) passed(from, to token.Pos) (begin, end place) {
	for _, n := range slices.Backward(s.asked) {
		for _, c := range n.Body.List {
			if c.Pos() <= from && from < c.(*ast.CaseClause).Colon {
				return s.place(n.Switch), s.place(n.Body.Lbrace)
			}
		}
	}
	return s.place(from), s.place(to)
}

func (s *search) place(at token.Pos) place {
	p := s.tree.fset.Position(at)
	return place{p.Line, p.Column}
}

func (s *search) replace(n ast.Node, text, says string) { s.add(n.Pos(), n.End(), text, says) }

func (s *search) source(n ast.Node) string {
	text := s.code.text[s.file]
	return string(text[s.tree.fset.Position(n.Pos()).Offset:s.tree.fset.Position(n.End()).Offset])
}

// at is the source of a node, for the reader.
func (s *search) at(n ast.Node) string { return brief(s.source(n)) }

// lineOf is the line that a node begins in.
func (s *search) lineOf(n ast.Node) string {
	lines := strings.Split(string(s.code.text[s.file]), "\n")
	return brief(lines[s.tree.fset.Position(n.Pos()).Line-1])
}

const longestShown = 60

func brief(text string) string {
	short := []rune(strings.Join(strings.Fields(text), " "))
	if len(short) > longestShown {
		short = append(short[:longestShown], '…')
	}
	return string(short)
}

// opposite is what an operator becomes.
var opposite = map[token.Token]token.Token{
	token.LSS: token.LEQ, token.LEQ: token.LSS, token.GTR: token.GEQ, token.GEQ: token.GTR,
	token.EQL: token.NEQ, token.NEQ: token.EQL, token.LAND: token.LOR, token.LOR: token.LAND,
	token.ADD: token.SUB, token.SUB: token.ADD, token.MUL: token.QUO, token.QUO: token.MUL,
	token.MUL_ASSIGN: token.QUO_ASSIGN, token.QUO_ASSIGN: token.MUL_ASSIGN,
	token.ADD_ASSIGN: token.SUB_ASSIGN, token.SUB_ASSIGN: token.ADD_ASSIGN, token.INC: token.DEC, token.DEC: token.INC,
}

func (s *search) binary(n *ast.BinaryExpr) {
	becomes, ok := opposite[n.Op]
	if !ok || s.asksForError(n) || arithmetic(n.Op) && s.isLayout() {
		return
	}
	s.operator(n.OpPos, n.Op, becomes, n)
}

func (s *search) operator(at token.Pos, op, becomes token.Token, in ast.Node) {
	s.add(at, at+token.Pos(len(op.String())), becomes.String(), fmt.Sprintf("%s becomes %s: %s", op, becomes, s.at(in)))
}

func arithmetic(op token.Token) bool { return op >= token.ADD && op <= token.QUO }

// asksForError tells whether err == nil or err != nil is asked. Turned round it
// would be killed by nearly any test and flatter the count: condition lets the
// error pass unseen instead.
func (s *search) asksForError(n *ast.BinaryExpr) bool {
	return (n.Op == token.EQL || n.Op == token.NEQ) && s.code.info.Types[n.Y].IsNil() && isError(s.code.info.TypeOf(n.X))
}

func isError(t types.Type) bool {
	return t != nil && types.Identical(t, types.Universe.Lookup("error").Type())
}

func (s *search) number(n *ast.BasicLit) {
	if n.Kind != token.INT && n.Kind != token.FLOAT || strings.HasPrefix(n.Value, "0o") || s.isLayout() {
		return
	}
	was := constant.MakeFromLiteral(n.Value, n.Kind, 0)
	more := constant.BinaryOp(was, token.ADD, constant.MakeInt64(1))
	if constant.Compare(constant.MakeFromLiteral(more.String(), n.Kind, 0), token.EQL, was) {
		return // too large a figure for one more to be written
	}
	s.replace(n, more.String(), fmt.Sprintf("%s becomes %s: %s", n.Value, more, s.lineOf(n)))
}

func (s *search) truth(n *ast.Ident) {
	if s.isLayout() {
		return
	}
	switch s.code.info.Uses[n] {
	case types.Universe.Lookup("true"):
		s.replace(n, "false", "true becomes false: "+s.lineOf(n))
	case types.Universe.Lookup("false"):
		s.replace(n, "true", "false becomes true: "+s.lineOf(n))
	}
}

// condition negates what is asked, unless an operator in it does the same.
func (s *search) condition(e ast.Expr) {
	switch n := e.(type) {
	case nil:
		return
	case *ast.BinaryExpr:
		if s.asksForError(n) {
			s.replace(n, "("+s.source(n)+") && false", "never: "+s.at(n))
			return
		}
		if n.Op == token.EQL || n.Op == token.NEQ {
			return
		}
	case *ast.UnaryExpr:
		if n.Op == token.NOT {
			return
		}
	}
	s.replace(e, "!("+s.source(e)+")", "not: "+s.at(e))
}

func (s *search) cases(n *ast.SwitchStmt) {
	for _, c := range n.Body.List {
		for _, e := range c.(*ast.CaseClause).List {
			if n.Tag == nil {
				s.condition(e)
			}
		}
	}
}

// swaps exchanges the bodies of two branches that follow each other.
func (s *search) swaps(body *ast.BlockStmt) {
	for i := range max(0, len(body.List)-1) {
		a, b := body.List[i].(*ast.CaseClause).Body, body.List[i+1].(*ast.CaseClause).Body
		if len(a) == 0 || len(b) == 0 {
			continue
		}
		of := func(list []ast.Stmt) string {
			text := s.code.text[s.file]
			return string(text[s.tree.fset.Position(list[0].Pos()).Offset:s.tree.fset.Position(list[len(list)-1].End()).Offset])
		}
		if of(a) == of(b) {
			continue
		}
		between := string(s.code.text[s.file][s.tree.fset.Position(a[len(a)-1].End()).Offset:s.tree.fset.Position(b[0].Pos()).Offset])
		s.add(a[0].Pos(), b[len(b)-1].End(), of(b)+between+of(a), "swapped with the next branch: "+s.at(a[0]))
	}
}

// returned gives back nothing in place of a value, and no in place of yes.
func (s *search) returned(n *ast.ReturnStmt) {
	for _, e := range n.Results {
		t := s.code.info.TypeOf(e)
		zero := s.zero(t)
		if _, several := t.(*types.Tuple); several || s.source(e) == zero || s.code.info.Types[e].IsNil() || isEmpty(e) {
			continue
		}
		if b, ok := t.Underlying().(*types.Basic); ok && b.Info()&types.IsBoolean != 0 {
			if _, isCall := e.(*ast.CallExpr); isCall {
				s.replace(e, "!"+s.source(e), "gives back the contrary of "+s.at(e))
			}
			continue
		}
		s.replace(e, zero, fmt.Sprintf("gives back %s, not %s", zero, s.at(e)))
	}
}

func isEmpty(e ast.Expr) bool {
	c, ok := e.(*ast.CompositeLit)
	return ok && len(c.Elts) == 0
}

func (s *search) zero(t types.Type) string {
	switch u := t.Underlying().(type) {
	case *types.Basic:
		if u.Info()&types.IsString != 0 {
			return `""`
		}
		return "0"
	case *types.Pointer, *types.Slice, *types.Map, *types.Signature, *types.Chan:
		return "nil"
	case *types.Interface:
		if _, generic := t.(*types.TypeParam); !generic {
			return "nil"
		}
	}
	return "*new(" + types.TypeString(t, func(p *types.Package) string {
		if p == s.code.types {
			return ""
		}
		return p.Name()
	}) + ")"
}

// dropped leaves a statement out, where it stands in a list of statements.
func (s *search) dropped(n ast.Stmt, parent ast.Node) {
	switch n := n.(type) {
	case *ast.AssignStmt:
		if n.Tok == token.DEFINE {
			return
		}
		if becomes, ok := opposite[n.Tok]; ok {
			s.operator(n.TokPos, n.Tok, becomes, n)
		}
	case *ast.IncDecStmt:
		s.operator(n.TokPos, n.Tok, opposite[n.Tok], n)
	case *ast.BranchStmt, *ast.ExprStmt, *ast.DeferStmt, *ast.GoStmt, *ast.SendStmt:
	default:
		return
	}
	switch parent.(type) {
	case *ast.BlockStmt, *ast.CaseClause, *ast.CommClause:
		s.replace(n, "", "dropped: "+s.at(n))
	}
}
