package office

import (
	"context"

	"coolhold/logbook/seal"
)

// A Holder holds what is sent, and signs nothing: a Desk but for the receipts.
type Holder interface {
	// Take is as a Desk's; the receipt is for the caller to sign, and says nothing where the
	// laptop waits.
	Take(ctx context.Context, parcel []byte) (Answer, Receipt, error)
	Site(ctx context.Context, who Reader, ask SiteAsk) (SiteLines, error)
	Recall(ctx context.Context, who Reader, ask RecallAsk) (Recalled, error)
}

// Signing is the desk of a holder whose receipts are signed with a key.
func Signing(h Holder, key seal.Key) Desk { return signing{h, key} }

type signing struct {
	Holder
	key seal.Key
}

func (s signing) Take(ctx context.Context, parcel []byte) (Answer, error) {
	a, r, err := s.Holder.Take(ctx, parcel)
	if err != nil || a.Waiting {
		return a, err
	}
	note, err := r.Sign(s.key)
	a.Receipt, a.Key = string(note), s.key.Public()
	return a, err
}
