package store

import (
	"context"
	"sync"
	"time"
)

// The gate counts the sessions of this program. What has the lock of a log when the
// program is stopped (Ctrl-Z) keeps it until it is called up again, which may be never.
type gate struct {
	mu     sync.Mutex
	inside int
	shut   chan struct{} // closed when it opens again; nil: it is open
}

var sessions gate

// enter counts one in, waiting while the gate is shut.
func (g *gate) enter(ctx context.Context) error {
	for {
		g.mu.Lock()
		shut := g.shut
		if shut == nil {
			g.inside++
			g.mu.Unlock()
			return nil
		}
		g.mu.Unlock()
		select {
		case <-shut:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

func (g *gate) leave() {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.inside--
}

// close shuts the gate if nobody is inside.
func (g *gate) close() (open func(), ok bool) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.inside > 0 || g.shut != nil {
		return nil, false
	}
	shut := make(chan struct{})
	g.shut = shut
	return func() {
		g.mu.Lock()
		defer g.mu.Unlock()
		g.shut = nil
		close(shut)
	}, true
}

// Still waits until this program has no log open, and then keeps it from opening one
// until it is let go. It is not ok where one was open until the context was done; then
// nothing is kept.
func Still(ctx context.Context) (letGo func(), ok bool) {
	for {
		if letGo, ok = sessions.close(); ok {
			return letGo, true
		}
		select {
		case <-ctx.Done():
			return nil, false
		case <-time.After(retry):
		}
	}
}
