package logbook

import "slices"

// A Corrected is a correction as a record keeps it, with what the table said
// before.
type Corrected struct {
	Correction
	Signature
	Was Snapshot
}

// A Snapshot is what a correction of one field can change beside it.
type Snapshot struct {
	Settings  *SettingsKeyed
	Ohms      *ResistanceRead
	Disturbed *Disturbed
}

// corrected puts a value right and keeps what it was. An entry that a newer
// version wrote for a field this one does not know is kept all the same.
func (w Weld) corrected(e *Entry, b Correction) Weld {
	was := Snapshot{w.Settings, w.Ohms, w.Disturbed}
	w.Corrections = append(slices.Clone(w.Corrections), Corrected{b, signature(e), was})
	if v, ok := ValueOf(b.Field); ok {
		w = v.Set(w, b.New)
	}
	if b.Settings != nil {
		w.Settings = b.Settings
	}
	if b.Ohms != nil {
		w.Ohms = b.Ohms
	}
	return w
}

// AsRecorded are the weld as it stands and as it stood before each correction,
// the newest first: the last one is as the crew recorded it.
func (w Weld) AsRecorded() []Weld {
	all := []Weld{w}
	for i := len(w.Corrections) - 1; i >= 0; i-- {
		c := w.Corrections[i]
		if v, ok := ValueOf(c.Field); ok {
			w = v.Set(w, c.Old)
		}
		w.Settings, w.Ohms, w.Disturbed = c.Was.Settings, c.Was.Ohms, c.Was.Disturbed
		w.Corrections = w.Corrections[:i:i]
		all = append(all, w)
	}
	return all
}
