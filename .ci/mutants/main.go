// Mutants changes one small thing of the production code at a time and looks
// whether a test notices: a test that passes whatever the code does guards
// nothing.
//
//	make mutants SEED=1 [N=75] [PKG=./logbook/...]
//	make mutants AT=logbook/hold.go:194
//
// The first draws a sample by the seed, the second takes every mutant of the
// lines given: it shows that a test just written kills them. For one seed and one tree
// the sample is always the same. No file of the tree is changed: the changed
// text is handed to the compiler with -overlay, property tests draw by a fixed
// seed and leave nothing behind.
//
// A mutant goes through the tests of its own package; if it survives, through
// those of the packages whose tests are built from it, cheap ones first, and
// last through those of cmd/coolhold. Tests that never come to the place are not
// run. They run with -short, two packages at a time. One that does not end within
// its time counts as killed, and that is said.
//
// What is changed stands in find.go, what is left out and why in leave.go.
package main

import (
	"cmp"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"time"
)

// given is what was asked for.
type given struct {
	dir      string // of the module
	seed     uint64
	most     int
	at       string // file:line,…; empty: a sample
	list     bool
	last     string        // the package whose tests cost most
	through  int           // stages
	least    time.Duration // that tests are given
	patterns []string
}

func main() {
	g := given{dir: ".", least: 10 * time.Second}
	flag.Uint64Var(&g.seed, "seed", 1, "draws the sample")
	flag.IntVar(&g.most, "n", 75, "mutants to make")
	flag.StringVar(&g.at, "at", "", "`file:line,…`: every mutant there instead of a sample")
	flag.BoolVar(&g.list, "list", false, "say which mutants would be made and what is left out, run nothing")
	flag.StringVar(&g.last, "last", "./cmd/coolhold", "the package whose tests run last")
	flag.IntVar(&g.through, "through", stages, "1: tests of the own package only, 2: of its importers too, 3: of the last too")
	flag.Parse()
	g.patterns = flag.Args()
	if len(g.patterns) == 0 {
		g.patterns = []string{"./logbook/...", "./fusion/...", "./tui/..."}
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	err := g.run(ctx, os.Stdout)
	stop()
	if err != nil {
		fmt.Fprintln(os.Stderr, "mutants:", err)
		os.Exit(1)
	}
}

func (g given) run(ctx context.Context, out io.Writer) error {
	t, err := load(ctx, g)
	if err != nil {
		return err
	}
	drawn := draw(t, g)
	if len(drawn) == 0 {
		return errors.New("nothing to change there: give a line or packages with code")
	}
	if g.list {
		return listed(out, drawn, g)
	}
	r, err := newRunner(ctx, t, g)
	if err != nil {
		return err
	}
	defer r.remove()
	began := time.Now()
	all, err := r.all(out, drawn, g)
	if err != nil {
		return err
	}
	report(out, all)
	fmt.Fprintf(out, "took %s, %s of processor\n", time.Since(began).Round(time.Second), processor().Round(time.Second))
	return nil
}

func listed(out io.Writer, drawn []mutant, g given) error {
	for _, m := range sample(drawn, g) {
		fmt.Fprintln(out, m)
	}
	fmt.Fprintln(out, "\nleft out:")
	for _, l := range leftOut {
		fmt.Fprintf(out, "  %s: %s\n", l.what, l.why)
	}
	return nil
}

// all runs mutant after mutant until enough were made.
func (r *runner) all(out io.Writer, drawn []mutant, g given) ([]outcome, error) {
	var all []outcome
	for m := range inTurn(drawn, g) {
		if len(all) == g.most && g.at == "" {
			break
		}
		began := time.Now()
		o, err := r.outcome(m)
		if err != nil {
			return nil, err
		}
		if o.how == unbuilt {
			continue
		}
		all = append(all, o)
		fmt.Fprintf(out, "%d %s: %s, %.1f s\n", len(all), m, o.words(), time.Since(began).Seconds())
	}
	return all, nil
}

// processor is what the runs so far took of it, which does not hang on what
// else the machine does. What was stopped at the first failure is not in it.
func processor() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_CHILDREN, &u); err != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

func report(out io.Writer, all []outcome) {
	count := map[how]int{}
	hung := 0
	fmt.Fprintln(out)
	for _, o := range all {
		count[o.how]++
		if o.hung {
			hung++
		}
		if o.how == survived {
			fmt.Fprintf(out, "SURVIVED %s\n    through %s\n", o.mutant, cmp.Or(strings.Join(o.ran, " "), "none: no test reaches it"))
		}
	}
	fmt.Fprintf(out, "made %d, killed in their own package %d, killed by importers %d, survived %d; of the killed %d did not end in time\n",
		len(all), count[killedOwn], count[killedByImporter], count[survived], hung)
}
