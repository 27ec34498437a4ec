package crew

import (
	"fmt"

	"coolhold/logbook"
	"coolhold/logbook/acts"
)

// What somebody decided on findings, as it stands in the log. Whether it may be
// stored is judged where the findings are known; here the fold of it is tried.

// Raw is an entry as it stands in the log, judged by nobody.
func Raw(h acts.Head, joint, weld string, b logbook.Body) acts.Act {
	return func(logbook.Reader) ([]logbook.Draft, error) { return acts.Drafted(h, joint, weld, b), nil }
}

func SignDay(h acts.Head, b logbook.DaySigned) acts.Act { return Raw(h, "", "", b) }

func CoverSection(h acts.Head, part string, missing []string) acts.Act {
	return Raw(h, "", "", logbook.Covered{Section: part, Missing: missing})
}

func ReviewAt(h acts.Head, joint string, b logbook.Reviewed) acts.Act {
	return Raw(h, joint, "", b)
}

func Review(h acts.Head, weld string, b logbook.Reviewed) acts.Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		w, ok := r.Weld(h.Site, weld)
		if !ok {
			return nil, fmt.Errorf("weld %s: %w", weld, logbook.ErrUnknown)
		}
		return Raw(h, w.Joint, weld, b)(r)
	}
}
