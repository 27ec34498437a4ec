package acts

// What only the tests need of the inside.
var (
	OnWeld = onWeld
)
