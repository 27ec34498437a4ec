package toml

// A Num is one number of a list, whole or decimal. OK is false where it was
// faulty; the fault is noted and X means nothing.
type Num struct {
	X    float64
	Line int
	OK   bool
}

// OptNums is Nums for a list that may be missing.
func (r *Reader) OptNums(key string, in Bounds) []Num {
	if !r.Has(key) {
		r.take(key)
		return nil
	}
	return r.Nums(key, in)
}

// Nums reads a list of numbers, whole or decimal, that must be there and not be
// empty. Each faulty item is noted and comes back with OK false.
func (r *Reader) Nums(key string, in Bounds) []Num {
	var ns []Num
	for _, it := range r.needItems(key) {
		n := Num{Line: it.line}
		if x := r.num(key, it, in); x != nil {
			n.X, n.OK = *x, true
		}
		ns = append(ns, n)
	}
	return ns
}
