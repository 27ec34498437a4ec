package acts

import (
	"cmp"
	"fmt"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
)

// TeachCode binds a code to a fitting's row. To teach it anew as another
// fitting needs a reason.
func TeachCode(h Head, code, fitting, why string) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		s, ok := r.Site(h.Site)
		if !ok {
			return nil, fmt.Errorf("site %q: %w", h.Site, logbook.ErrUnknown)
		}
		c := fusion.ReadCode(code)
		if c.Form != fusion.FusionData {
			return nil, logbook.Refuse("%q is no code of a fitting type: it has 24 digits", c.Raw)
		}
		if err := named(h, "teaching a code"); err != nil {
			return nil, err
		}
		row, err := logbook.ShelfOf(s).Row(fitting)
		if err != nil {
			return nil, err
		}
		b := logbook.CodeTaught{Code: c.Raw, Fitting: fitting, Table: row.Ref.Hash}
		switch was, had := s.TaughtAs(c.Raw); {
		case had && was.Fitting == fitting && was.Table == b.Table && !was.Imported: // who compares a bag himself is heard
			return nil, fmt.Errorf("code %s as %s: %w", c.Raw, fitting, logbook.ErrExists)
		case had && was.Fitting != fitting:
			if strings.TrimSpace(why) == "" {
				return nil, logbook.Refuse("code %s is taught as %s by %s: to teach it as %s give a reason", c.Raw, was.Fitting, was.Who(), fitting)
			}
			b.Was, b.Why = was.Fitting, why
		}
		return []logbook.Draft{h.draft(b)}, nil
	}
}

// WithTrace is an answer and, where a scanned batch is a traceability code of
// the standard, that code in its own place too.
func WithTrace(a logbook.Answer) []logbook.Answer {
	answers := []logbook.Answer{a}
	trace := map[string]string{logbook.ItemBatch: logbook.ItemTrace, logbook.ItemPipeBatch: logbook.ItemPipeTrace}[a.Item]
	if a.How == logbook.Scanned && trace != "" && traceItem[fusion.ReadCode(a.V).Form] == trace {
		answers = append(answers, logbook.Answer{Item: trace, V: a.V, How: logbook.Scanned})
	}
	return answers
}

// traceItem is what a code of the standard is recorded as.
var traceItem = map[fusion.CodeForm]string{
	fusion.ComponentTrace: logbook.ItemTrace, fusion.TwoDimensional: logbook.ItemTrace, fusion.PipeTrace: logbook.ItemPipeTrace,
}

// ScanCode takes a code scanned at the fitting step. One that was taught
// recalls its row. Where that is another fitting than the one that was chosen,
// or than the plan's, the step is stopped, and that it was tried is stored.
// Any other code is kept as it is.
func ScanCode(h Head, weld, text string) Act {
	return inWalk(h, weld, func(r logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		c := fusion.ReadCode(text)
		item := cmp.Or(traceItem[c.Form], logbook.ItemCode)
		answers := []logbook.Answer{{Item: item, V: c.Raw, How: logbook.Scanned}}
		site, _ := r.Site(w.Site)
		taught, known := site.TaughtAs(c.Raw)
		if !known || c.Form != fusion.FusionData {
			return []logbook.Body{logbook.StepAnswered{Step: logbook.StepFitting, Answers: answers}}, nil
		}
		if why := unlike(r, w, taught); why != "" {
			return []logbook.Body{logbook.StepStopped{Step: logbook.StepFitting, Why: why, Tried: c.Raw}}, nil
		}
		if err := fits(r, w, taught.Fitting); err != nil {
			return nil, err
		}
		return []logbook.Body{logbook.StepAnswered{Step: logbook.StepFitting, Answers: append(answers, logbook.Answer{Item: logbook.ItemFitting, V: taught.Fitting, How: logbook.Scanned})}}, nil
	})
}

// unlike says that a taught code is another fitting's than the one meant here.
func unlike(r logbook.Reader, w logbook.Weld, taught logbook.Taught) string {
	j, _ := r.Joint(w.Site, w.Joint)
	switch meant := w.Fitting(); {
	case meant != "" && meant != taught.Fitting:
		return fmt.Sprintf("the code is taught as %s, but %s was chosen: take the fitting that is meant, or choose its row by hand", taught.Fitting, meant)
	case meant == "" && j.Fitting != "" && j.Fitting != taught.Fitting:
		return fmt.Sprintf("the code is taught as %s, but the plan says %s here: take the other fitting, or choose the row by hand", taught.Fitting, j.Fitting)
	}
	return ""
}
