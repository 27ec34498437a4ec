package logbook

// What only the tests need of the inside.
var (
	Batches     = batches
	Bodies      = bodies
	Folded      = folded
	ReadPlain   = readPlain
	Spaced      = spaced
	Undisturbed = undisturbed
)

const Longest = longest

const MostSides = mostSides
