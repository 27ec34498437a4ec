package audit

import "encoding/json"

// What only the tests need of the inside.
var (
	Digest       = digest
	FindingOf    = finding
	MedianAndMAD = medianAndMAD
	Written      = written
)

func JudgeOf(of *Check) *func(Case) (facts any, found bool) { return &of.judge }

func ReadOf(of *Check) *func(json.RawMessage) (any, error) { return &of.read }

func TellOf(of *Check) *func(about string, facts any) string { return &of.tell }

const MadScale = madScale
