package fault

import (
	"cmp"
	"slices"
	"strings"
)

// Nearest gives the known words that a word was most likely meant to be, the
// nearest first, at most limit of them: those that differ in no more than a
// third of its characters.
func Nearest(word string, known []string, limit int) []string {
	type candidate struct {
		word string
		off  int
	}
	var near []candidate
	a := []rune(strings.ToLower(Brief(word)))
	for _, k := range known {
		b := []rune(strings.ToLower(Brief(k)))
		if off := distance(a, b); off*3 <= max(len(a), len(b)) {
			near = append(near, candidate{k, off})
		}
	}
	slices.SortStableFunc(near, func(x, y candidate) int { return cmp.Compare(x.off, y.off) })
	var words []string
	for _, c := range near[:min(limit, len(near))] {
		words = append(words, c.word)
	}
	return words
}

// distance counts the characters to put in, take out, change or swap with their
// neighbour between a and b.
func distance(a, b []rune) int {
	d := make([][]int, len(a)+1)
	for i := range d {
		d[i] = make([]int, len(b)+1)
		d[i][0] = i
	}
	for j := range d[0] {
		d[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			change := d[i-1][j-1]
			if a[i-1] != b[j-1] {
				change++
			}
			d[i][j] = min(change, d[i-1][j]+1, d[i][j-1]+1)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				d[i][j] = min(d[i][j], d[i-2][j-2]+1)
			}
		}
	}
	return d[len(a)][len(b)]
}
