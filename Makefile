FUZZTIME ?= 20000x
SEED ?= 1
N ?= 75
ROUNDS ?= 4
ROWS ?= .
WELDS ?= 1000000
PKG ?= ./logbook/... ./fusion/... ./tui/...

.PHONY: run test check bench bench-growth office benchmarks release release-twice fuzz flips mutants soak soak-long pictures

run:
	go run ./cmd/coolhold

test:
	go test ./...

# Everything that must hold before a change goes in.
check:
	.ci/run

# The pictures of the README, from the program's own frames and the first page of the
# example's register; .ci/run fails where one is not what the program paints now.
pictures:
	go test -count=1 -run '^TestBehaviourOfThePictures$$' ./cmd/coolhold -args -update

# coolhold beside what only does what must be done, in one run: a table with ratios.
# ROWS='start|keys' measures some. The logs are made once, in the cache folder.
bench:
	go run ./.ci/bench -rounds $(ROUNDS) -rows '$(ROWS)'

# What grows with a site and with a log, and how fast.
bench-growth:
	go run ./.ci/bench -growth -rounds $(ROUNDS) -rows '$(ROWS)'

# An office of WELDS welds in a PostgreSQL of its own: what taking, working up and
# asking cost, and what a weld takes on the disk.
office:
	go run ./.ci/bench -office $(WELDS)

# The benchmarks of the packages.
benchmarks:
	go test -run '^$$' -bench . -benchmem ./...

# What people install, for all platforms, into dist/: archives, licences, the list of what
# is linked in, checksums. ONLY=linux/amd64 for some. It builds the revision and refuses a
# changed tree.
release:
	go run ./.ci/release -only '$(ONLY)'

# The same revision built twice, each time in a place of its own: the same bytes?
release-twice:
	.ci/release-twice $(ONLY)

# Each fuzz test in turn, FUZZTIME executions of each, so that a run says the same on any
# machine. How often an input is tried shorter is bounded: without that most of the time
# goes into it.
fuzz:
	@set -e; grep -rl --include='*_test.go' '^func Fuzz' . | while read -r file; do \
		for fuzz in $$(sed -n 's/^func \(Fuzz[A-Za-z0-9]*\)(.*/\1/p' "$$file"); do \
			echo "$${file%/*} $$fuzz"; \
			go test -run '^$$' -fuzz "^$$fuzz\$$" -fuzztime $(FUZZTIME) -fuzzminimizetime 20x "$${file%/*}" </dev/null; \
		done; \
	done

# 2,000 single bits turned in the file of a log, read and written, 200 on the board.
flips:
	COOLHOLD_SOAK=full go test -count=1 -v -run '^TestSoakFlips' ./cmd/coolhold

# N small changes of the code, drawn by SEED from PKG: which does no test notice?
# AT=logbook/hold.go:194 makes every change of that line instead.
mutants:
	go run ./.ci/mutants -seed $(SEED) -n $(N) $(if $(AT),-at $(AT)) $(PKG)

# Faults made again and again: kills, power cuts, refused system calls, full disks,
# pulled sticks, many programs at once. Under twenty minutes on two cores; the
# table at the end says what was lost (0) and what was said untruly (0).
soak:
	@export COOLHOLD_SOAK=full; $(soaks)

# The same without a limit of time.
soak-long:
	@export COOLHOLD_SOAK=long; $(soaks)

# Tests that try but a part of what they could, unless in a soak.
thinned = ^TestKilled|^TestAnyByteOfTheFile$$|^TestAgainstThePlainModel$$|^TestEveryValueCounts$$|^TestOrderOfDrawnSites$$

soaks = table=$$(mktemp); code=0; \
	COOLHOLD_SOAK_TABLE=$$table go test -count=1 -timeout 24h -run '^TestSoak|$(thinned)' ./cmd/coolhold ./fusion ./logbook/store ./logbook/proof ./logbook/office/pg || code=$$?; \
	echo "| fault | how it is made | runs | lost | untrue | again | counted |"; \
	echo "|---|---|---|---|---|---|---|"; sort $$table; rm -f $$table; exit $$code
