package logbook

// What only the tests need of the inside.
var (
	Batches     = batches
	Bodies      = bodies
	Folded      = folded
	Spaced      = spaced
	Undisturbed = undisturbed
)

const Longest = longest

const MostSides = mostSides
