package register

// A Picture is an enclosed photo made small, or why it is not there to be seen.
type Picture struct {
	JPEG []byte
	W, H int    // dots
	Why  string // "": it is there
}

// Pictures are photos by their SHA-256 in hex, as they are enclosed.
type Pictures map[string]Picture
