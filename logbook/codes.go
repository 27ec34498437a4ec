package logbook

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/fusion"
)

// CodeTaught binds the code of a fitting type, 24 digits, to a row of the
// crew's own table. The digits are kept as scanned and nothing is read out of
// them; at the next scan the row is recalled.
type CodeTaught struct {
	Code    string `json:"code"`
	Fitting string `json:"fitting"`
	Table   string `json:"table"` // hash
	// Was is set where the code was taught as another fitting before, and Why.
	Was string `json:"was,omitempty"`
	Why string `json:"why,omitempty"`
}

// Kind is "code taught".
func (CodeTaught) Kind() Kind { return "code taught" }

// Line names the code and its row.
func (b CodeTaught) Line() string {
	line := fmt.Sprintf("code %s taught as %s (table %s)", b.Code, b.Fitting, b.Table)
	if b.Was != "" {
		line += fmt.Sprintf(", was %s: %s", b.Was, b.Why)
	}
	return line
}

// A Taught is a code that was taught, with who taught it.
type Taught struct {
	CodeTaught
	Signature
}

// TaughtAs is what a code was last taught as on the site.
func (s Site) TaughtAs(code string) (Taught, bool) {
	for i := len(s.Codes) - 1; i >= 0; i-- {
		if s.Codes[i].Code == code {
			return s.Codes[i], true
		}
	}
	return Taught{}, false
}

// TaughtCodes are the codes as they were last taught, in the order of teaching.
func (s Site) TaughtCodes() []Taught {
	var out []Taught
	for i, c := range s.Codes {
		if !slices.ContainsFunc(s.Codes[i+1:], func(later Taught) bool { return later.Code == c.Code }) {
			out = append(out, c)
		}
	}
	return out
}

// TeachCode binds a code to a fitting's row. To teach it anew as another
// fitting needs a reason.
func TeachCode(h Head, code, fitting, why string) Act {
	return func(r Reader) ([]Draft, error) {
		s, ok := r.Site(h.Site)
		if !ok {
			return nil, fmt.Errorf("site %q: %w", h.Site, ErrUnknown)
		}
		c := fusion.ReadCode(code)
		if c.Form != fusion.FusionData {
			return nil, refuse("%q is no code of a fitting type: it has 24 digits", c.Raw)
		}
		if err := Named(h, "teaching a code"); err != nil {
			return nil, err
		}
		row, err := ShelfOf(s).Row(fitting)
		if err != nil {
			return nil, err
		}
		b := CodeTaught{Code: c.Raw, Fitting: fitting, Table: row.Ref.Hash}
		switch was, had := s.TaughtAs(c.Raw); {
		case had && was.Fitting == fitting && was.Table == b.Table:
			return nil, fmt.Errorf("code %s as %s: %w", c.Raw, fitting, ErrExists)
		case had && was.Fitting != fitting:
			if strings.TrimSpace(why) == "" {
				return nil, refuse("code %s is taught as %s by %s: to teach it as %s give a reason", c.Raw, was.Fitting, was.By, fitting)
			}
			b.Was, b.Why = was.Fitting, why
		}
		return []Draft{h.draft(b)}, nil
	}
}

// WithTrace is an answer and, where a scanned batch is a traceability code of
// the standard, that code in its own place too.
func WithTrace(a Answer) []Answer {
	answers := []Answer{a}
	if a.How != Scanned {
		return answers
	}
	switch fusion.ReadCode(a.V).Form {
	case fusion.ComponentTrace, fusion.TwoDimensional:
		if a.Item == ItemBatch {
			answers = append(answers, Answer{Item: ItemTrace, V: a.V, How: Scanned})
		}
	case fusion.PipeTrace:
		if a.Item == ItemPipeBatch {
			answers = append(answers, Answer{Item: ItemPipeTrace, V: a.V, How: Scanned})
		}
	}
	return answers
}

// ScanCode takes a code scanned at the fitting step. One that was taught
// recalls its row. Where that is another fitting than the one that was chosen,
// or than the plan's, the step is stopped, and that it was tried is stored.
// Any other code is kept as it is.
func ScanCode(h Head, weld, text string) Act {
	return onWeld(h, weld, func(r Reader, w Weld) ([]Body, error) {
		if err := mustWalk(w); err != nil {
			return nil, err
		}
		c := fusion.ReadCode(text)
		item := map[fusion.CodeForm]string{fusion.ComponentTrace: ItemTrace, fusion.TwoDimensional: ItemTrace, fusion.PipeTrace: ItemPipeTrace}[c.Form]
		if item == "" {
			item = ItemCode
		}
		answers := []Answer{{Item: item, V: c.Raw, How: Scanned}}
		site, _ := r.Site(w.Site)
		taught, known := site.TaughtAs(c.Raw)
		if !known || c.Form != fusion.FusionData {
			return []Body{StepAnswered{StepFitting, answers}}, nil
		}
		if why := unlike(r, w, taught); why != "" {
			return []Body{StepStopped{StepFitting, why, c.Raw}}, nil
		}
		if err := fits(r, w, taught.Fitting); err != nil {
			return nil, err
		}
		return []Body{StepAnswered{StepFitting, append(answers, Answer{Item: ItemFitting, V: taught.Fitting, How: Scanned})}}, nil
	})
}

// unlike says that a taught code is another fitting's than the one meant here.
func unlike(r Reader, w Weld, taught Taught) string {
	j, _ := r.Joint(w.Site, w.Joint)
	switch meant := w.Fitting(); {
	case meant != "" && meant != taught.Fitting:
		return fmt.Sprintf("the code is taught as %s, but %s was chosen: take the fitting that is meant, or choose its row by hand", taught.Fitting, meant)
	case meant == "" && j.Fitting != "" && j.Fitting != taught.Fitting:
		return fmt.Sprintf("the code is taught as %s, but the plan says %s here: take the other fitting, or choose the row by hand", taught.Fitting, j.Fitting)
	}
	return ""
}

// Untaught are the fitting-type codes that were scanned on a site and are not
// taught, each with the fitting that was last chosen beside it.
func Untaught(r Reader, site string) []CodeTaught {
	s, _ := r.Site(site)
	var out []CodeTaught
	for _, w := range r.Welds(site) {
		code := w.Answers[ItemCode].V
		if _, known := s.TaughtAs(code); known || fusion.ReadCode(code).Form != fusion.FusionData {
			continue
		}
		b := CodeTaught{Code: code, Fitting: w.Fitting()}
		if i := slices.IndexFunc(out, func(o CodeTaught) bool { return o.Code == code }); i >= 0 {
			out[i] = b
			continue
		}
		out = append(out, b)
	}
	return out
}
