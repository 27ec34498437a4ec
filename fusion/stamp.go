package fusion

import (
	"encoding/json"
	"fmt"
	"time"
)

// A Stamp says when something happened, by two clocks at once: the wall clock,
// which people set and which jumps, and the boot clock, which only runs on and
// counts through sleep. It is taken when a key arrives, not when it is saved.
type Stamp struct {
	Wall    time.Time     // UTC, to the millisecond
	Offset  int           // local time is Wall plus Offset seconds
	Boot    time.Duration // time since the machine started, sleep included
	BootID  string        // names that start; "" where the system does not tell
	Machine string        // names the machine; "" counts as another one
}

// SameMachine tells whether two stamps were made on one machine: only then do
// their boot clocks speak of one clock. Where one does not say it is another.
func (s Stamp) SameMachine(o Stamp) bool { return s.Machine != "" && s.Machine == o.Machine }

// SameBoot tells whether two stamps were made on one start of one machine, so
// that the difference of their boot clocks is the time between them.
func (s Stamp) SameBoot(o Stamp) bool {
	return s.SameMachine(o) && s.BootID != "" && s.BootID == o.BootID
}

// stampJSON is the stored form: milliseconds are enough for a crew, and whole
// numbers survive every reader.
type stampJSON struct {
	Wall    string `json:"wall"`
	Offset  int    `json:"offset_s"`
	Boot    int64  `json:"boot_ms"`
	BootID  string `json:"boot_id,omitempty"`
	Machine string `json:"machine,omitempty"`
}

const wallLayout = "2006-01-02T15:04:05.000Z"

// MarshalJSON writes the stored form, cut to the millisecond.
func (s Stamp) MarshalJSON() ([]byte, error) {
	return json.Marshal(stampJSON{s.Wall.UTC().Format(wallLayout), s.Offset, s.Boot.Milliseconds(), s.BootID, s.Machine})
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (s *Stamp) UnmarshalJSON(data []byte) error {
	var j stampJSON
	if err := json.Unmarshal(data, &j); err != nil {
		return err
	}
	stamp, err := StoredStamp(j.Wall, j.Offset, j.Boot, j.BootID, j.Machine)
	if err == nil {
		*s = stamp
	}
	return err
}

// StoredStamp is the stamp of a stored form's parts: the wall time in UTC with
// milliseconds, the offset in seconds and the boot clock in milliseconds.
func StoredStamp(wall string, offset int, boot int64, bootID, machine string) (Stamp, error) {
	at, err := time.Parse(wallLayout, wall)
	if err != nil {
		return Stamp{}, fmt.Errorf("time %q of an entry is not readable: %w", wall, err)
	}
	return Stamp{at, offset, time.Duration(boot) * time.Millisecond, bootID, machine}, nil
}

// Cut drops what the stored form cannot hold, so that a stamp in memory equals
// the same stamp read back.
func (s Stamp) Cut() Stamp {
	s.Wall = s.Wall.UTC().Truncate(time.Millisecond)
	s.Boot = s.Boot.Truncate(time.Millisecond)
	return s
}

// Local is the wall time as the clock on site showed it.
func (s Stamp) Local() time.Time {
	return s.Wall.In(time.FixedZone("", s.Offset))
}

// Add moves both clocks by d: the stamp of something stated as d later, or
// earlier if d is negative, on the same start of the machine.
func (s Stamp) Add(d time.Duration) Stamp {
	s.Wall = s.Wall.Add(d)
	s.Boot = max(0, s.Boot+d)
	return s
}

// IsZero tells whether the stamp was never set.
func (s Stamp) IsZero() bool { return s.Wall.IsZero() }
