package plan

import (
	"fmt"
	"strings"

	"coolhold/fusion"
)

// Against holds the plan against fusion tables, the newest last: wrong has a line
// for each joint whose fitting cannot go there, unlisted one for each fitting that
// no table has. A table may still come, a pipe does not change its size. Without
// tables there is nothing to say.
func (p Plan) Against(tables []fusion.Table) (wrong, unlisted []string) {
	if len(tables) == 0 {
		return nil, nil
	}
	where := map[string][]string{} // of a fitting in no table: its joints
	var missing []string
	for _, j := range p.Joints() {
		f, ok := find(tables, j.Fitting)
		if !ok {
			if where[j.Fitting] == nil {
				missing = append(missing, j.Fitting)
			}
			where[j.Fitting] = append(where[j.Fitting], j.Label)
			continue
		}
		if err := j.Fits(f); err != nil {
			wrong = append(wrong, fmt.Sprintf("joint %s: %v", j.Label, err))
		}
	}
	for _, name := range missing {
		unlisted = append(unlisted, fmt.Sprintf("%s is in no table given: for %s", name, strings.Join(where[name], ", ")))
	}
	return wrong, unlisted
}

// find takes a fitting from the newest table that has it, as a weld does.
func find(tables []fusion.Table, name string) (fusion.Fitting, bool) {
	for i := len(tables) - 1; i >= 0; i-- {
		if f, ok := tables[i].Find(name); ok {
			return f, true
		}
	}
	return fusion.Fitting{}, false
}
