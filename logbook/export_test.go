package logbook

// What only the tests need of the inside.
var (
	Batches     = batches
	Bodies      = bodies
	ReadPlain   = readPlain
	Undisturbed = undisturbed
)

const Longest = longest

const MostSides = mostSides
