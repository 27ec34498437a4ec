FUZZTIME ?= 30s
SEED ?= 1
N ?= 75
PKG ?= ./logbook/... ./fusion/... ./tui/...

.PHONY: run test check bench fuzz flips mutants

run:
	go run ./cmd/coolhold

test:
	go test ./...

# Everything that must hold before a change goes in.
check:
	.ci/run

bench:
	go test -run '^$$' -bench . -benchmem ./...

# Each fuzz test in turn, for FUZZTIME each.
fuzz:
	@set -e; for pkg in $$(go list ./...); do \
		for fuzz in $$(go test -run '^$$' -list '^Fuzz' $$pkg | grep '^Fuzz' || true); do \
			echo "$$pkg $$fuzz"; \
			go test -run '^$$' -fuzz "^$$fuzz\$$" -fuzztime $(FUZZTIME) $$pkg; \
		done; \
	done

# 2,000 single bits turned in the file of a log, each seen by two programs.
flips:
	COOLHOLD_FLIPS=2000 go test -count=1 -v -run '^TestRawFlips$$' ./cmd/coolhold

# N small changes of the code, drawn by SEED from PKG: which does no test notice?
# AT=logbook/hold.go:194 makes every change of that line instead.
mutants:
	go run ./.ci/mutants -seed $(SEED) -n $(N) $(if $(AT),-at $(AT)) $(PKG)
