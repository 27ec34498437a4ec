package register

import "coolhold/logbook/seal"

// SignedBy are the keys that signed the log's seal, each by its name and its fingerprint:
// "KM-laptop+01b2c3d4". That they stand there is read, no signature is checked: whoever has
// the public keys does that with "coolhold verify". None where there is no seal, or it has
// not the form of one.
func (l Log) SignedBy() []string {
	if l.Seal == nil {
		return nil
	}
	s, err := seal.Parse([]byte(l.Seal.Note))
	if err != nil {
		return nil
	}
	return s.Unknown
}
