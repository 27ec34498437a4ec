package logbook

// What somebody decided on findings, as it stands in the log. Whether it may be
// stored is judged where the findings are known; here the fold of it is tried.

func SignDay(h Head, b DaySigned) Act {
	return func(Reader) ([]Draft, error) { return []Draft{h.draft(b)}, nil }
}

func CoverPart(h Head, part string, missing []string) Act {
	return func(Reader) ([]Draft, error) { return []Draft{h.draft(Covered{part, missing})}, nil }
}

func AcceptAt(h Head, joint string, b Reviewed) Act {
	return func(Reader) ([]Draft, error) { return []Draft{h.joint(joint, b)}, nil }
}

func Accept(h Head, weld string, b Reviewed) Act { return one(h, weld, b, anyTime) }
