package fusion

import (
	"encoding/json"
	"fmt"
)

// A Band is a range of whole degrees Celsius, both ends in it.
type Band struct{ Low, High int }

// String gives "5…14 °C".
func (b Band) String() string { return fmt.Sprintf("%d…%d °C", b.Low, b.High) }

// Holds tells whether a whole degree lies in the band.
func (b Band) Holds(degree int) bool { return degree >= b.Low && degree <= b.High }

// MarshalJSON writes [5,14].
func (b Band) MarshalJSON() ([]byte, error) { return json.Marshal([2]int{b.Low, b.High}) }

// UnmarshalJSON reads what MarshalJSON wrote; low above high is an error.
func (b *Band) UnmarshalJSON(data []byte) error {
	var ends []int
	if err := json.Unmarshal(data, &ends); err != nil {
		return err
	}
	if len(ends) != 2 || ends[0] > ends[1] {
		return fmt.Errorf("%s is no band: two whole degrees are needed, the colder first", data)
	}
	*b = Band{ends[0], ends[1]}
	return nil
}
