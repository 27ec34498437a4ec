package fusion

import "strconv"

// Figure writes a number as it is printed and read aloud: without needless zeros
// and without an exponent.
func Figure(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
