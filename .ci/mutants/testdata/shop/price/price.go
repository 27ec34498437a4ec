// Package price is made up: its mutants end in every way there is.
package price

import "fmt"

// Of is what n pieces cost; ten or more are cheaper.
func Of(n int) (int, error) {
	if n < 0 {
		return 0, fmt.Errorf("%d is below 0", n)
	}
	if n >= 10 {
		return n * 2, nil
	}
	return n * 3, nil
}

// Halvings is how often n can be halved.
func Halvings(n int) (k int) {
	for ; n > 1; k++ {
		n /= 2
	}
	return k
}

// Forgotten is reached by no test.
func Forgotten() bool { return true }

// A Tag is words only.
type Tag int

func (t Tag) String() string { return fmt.Sprintf("%d pieces", t+1) }
