package main

import (
	"go/ast"
	"go/types"
	"slices"
	"strings"
)

// leftOut is what is never changed, and why; leave, add and their like hold to
// it.
var leftOut = []struct{ what, why string }{
	{"string constants", "wording; no test should hang on it"},
	{"String, Line, Error and GoString", "wording"},
	{"what an error is made from", "wording; that the error is given back is changed"},
	{"err != nil turned round", "any test would notice, it would flatter the count; that err is not looked at is made instead"},
	{"figures, yes and no given back beside an error", "nobody looks at them"},
	{"sizes given to make, Grow and the like", "they only make it faster"},
	{"the step of a for loop", "it would only hang"},
	{"lengths of array types, and file modes written in octal", "off by one they mean nothing"},
	{"defer x.Close()", "what it lets go of is seen by no test"},
	{"constants, + - * / where paper is drawn (" + strings.Join(layout, ", ") + ")", "millimetres, points, bold or not: judged by eye"},
	{"packages for tests alone (" + strings.Join(forTests, ", ") + ")", "a test that lets more through is seen by no test"},
	{"files that are not built on this system", "their tests do not run here"},
}

// forTests are the packages that only tests import.
var forTests = []string{"logbook/crew", "fault/faulttest"}

func isForTests(path string) bool {
	return slices.ContainsFunc(forTests, func(end string) bool { return strings.HasSuffix(path, "/"+end) })
}

// layout are the packages that draw on paper.
var layout = []string{"labels/a4", "paper/a4", "paper/page", "register/pdf", "register/html", "register/xlsx"}

func (s *search) isLayout() bool {
	return slices.ContainsFunc(layout, func(end string) bool { return strings.HasSuffix(s.code.path, "/"+end) })
}

// leave tells whether a node is left alone with all below it.
func (s *search) leave(n ast.Node, stack []ast.Node) bool {
	switch n := n.(type) {
	case *ast.FuncDecl:
		return slices.Contains([]string{"String", "Line", "Error", "GoString"}, n.Name.Name)
	case *ast.CallExpr:
		return s.isSize(n) || s.isErrorText(n)
	case *ast.ArrayType, *ast.ImportSpec:
		return true
	case *ast.DeferStmt:
		called, ok := n.Call.Fun.(*ast.SelectorExpr)
		return ok && called.Sel.Name == "Close"
	}
	if len(stack) == 0 {
		return false
	}
	switch parent := stack[len(stack)-1].(type) {
	case *ast.ForStmt:
		return n == parent.Post
	case *ast.ReturnStmt:
		return s.isBesideError(n, parent)
	}
	return false
}

// isBesideError tells whether a node is a figure, yes or no that is given back
// together with an error.
func (s *search) isBesideError(n ast.Node, in *ast.ReturnStmt) bool {
	last := in.Results[len(in.Results)-1]
	if n == last || s.code.info.Types[last].IsNil() || !isError(s.code.info.TypeOf(last)) {
		return false
	}
	e, ok := n.(ast.Expr)
	return ok && s.code.info.Types[e].Value != nil
}

// isSize tells whether a call only makes room.
func (s *search) isSize(n *ast.CallExpr) bool {
	switch f := n.Fun.(type) {
	case *ast.Ident:
		return s.code.info.Uses[f] == types.Universe.Lookup("make")
	case *ast.SelectorExpr:
		return f.Sel.Name == "Grow" || f.Sel.Name == "Clip"
	}
	return false
}

// isErrorText tells whether a call makes an error out of words: it takes words,
// or words and values for their places, and gives back an error.
func (s *search) isErrorText(n *ast.CallExpr) bool {
	f, ok := s.code.info.TypeOf(n.Fun).(*types.Signature)
	if !ok || f.Results().Len() != 1 || !isError(f.Results().At(0).Type()) {
		return s.isPanic(n)
	}
	called, ok := n.Fun.(*ast.SelectorExpr)
	if ok && called.Sel.Name == "New" {
		return true
	}
	words := f.Params().Len() - 2
	return f.Variadic() && words >= 0 && isWords(f.Params().At(words).Type())
}

func (s *search) isPanic(n *ast.CallExpr) bool {
	f, ok := n.Fun.(*ast.Ident)
	return ok && s.code.info.Uses[f] == types.Universe.Lookup("panic")
}

func isWords(t types.Type) bool {
	b, ok := t.Underlying().(*types.Basic)
	return ok && b.Kind() == types.String
}
