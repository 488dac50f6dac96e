# Longpoint's own commands. "make" alone lists them; DEVELOPERS.md says more.

SHELL := /bin/bash
.SHELLFLAGS := -euo pipefail -c
.DEFAULT_GOAL := help

# The solver calls GLPK, which is C.
export CGO_ENABLED := 1

# Where git cannot read the folder's history (none there, another owner), the program is built without its revision.
ifeq ($(shell git rev-parse HEAD 2>/dev/null),)
export GOFLAGS := $(GOFLAGS) -buildvcs=false
endif

# Where "make install" puts the program.
PREFIX ?= /usr/local

# How long "make fuzz" tries each target.
FUZZTIME ?= 5s

# How long "make bench" gives an instance, where its tables and pictures go, and which instances it takes (such as
# "--instances scholl3,hard28 --each 2"; nothing: all, or for the peers some of each class). What is measured must not share
# the machine with what else is.
BENCHTIME ?= 60s
BENCHOUT ?= bench/out
INSTANCES ?=

# How many faults "make mutants" plants in each package, which ones, and where; the packages whose tests are quick first.
FAULTS ?= 60
SEED ?= 1
MUTATED ?= model model/stock model/runs solver/check model/audit solver cmd/longpoint/page model/book model/planner

# How many places of each system call "make faults" fails, 0: every one, and in which commands; nothing: all.
EACH ?= 3
COMMANDS ?=

# Which targets "make release" builds: linux-amd64, linux-arm64, windows-amd64, deb; nothing: all. Which version "make tag" makes, such as 0.2.0.
RELEASE ?=
VERSION ?=
.NOTPARALLEL:

# The packages in which things run side by side: the rest has nothing for the race detector to find.
CONCURRENT := ./model/planner ./solver/glpk ./solver ./cmd/longpoint ./cmd/longpoint/page

# The tests there in which things run side by side: several profiles or sets of suppliers at once, stopped, interrupted, with progress; one solver beside another.
SIDES := Workers|Stopped|Interrupt|Progress|AtOnce|ManyThreads|TestMarket|TestBuying

# The tests of the book in which things run side by side in one process; under the race detector SQLite in Go is too slow for the rest.
BOOKSIDES := EveryConnection|MigratingTogether|ReaderDoesNotBlock|Busy

##@ For everybody

.PHONY: help
help: ## list these commands
	@awk -F ':.*## ' '/^##@ /{printf "\n%s\n", substr($$0, 5)} /^[a-z-]+:.*## /{printf "  make %-13s %s\n", $$1, $$2}' $(MAKEFILE_LIST)

.PHONY: run
run: build ## install what is missing, build, plan the demo workshop and show the plan
	@folder=$$(mktemp -d "$${TMPDIR:-/tmp}/longpoint.XXXXXX"); \
	bin/longpoint demo "$$folder/workshop" >/dev/null; \
	bin/longpoint plan "$$folder/workshop" --out "$$folder/plan.json" >"$$folder/plan.txt"; \
	cat "$$folder/plan.txt"; \
	printf '\n'; \
	bin/longpoint check "$$folder/workshop" "$$folder/plan.json"; \
	printf '\nThis page is in      %s\nIts workshop is in   %s\nTo read it from the top:  more %s\n' \
		"$$folder/plan.txt" "$$folder/workshop" "$$folder/plan.txt"

.PHONY: test
test: test-deps ## install what is missing and run every test
	go test ./...

.PHONY: build
build: deps ## build the program as bin/longpoint
	@mkdir -p bin
	go build -ldflags "-X main.described=$$(.ci/version)" -o bin/longpoint ./cmd/longpoint

.PHONY: install
install: ## put the program, once built, where every terminal finds it (PREFIX=/usr/local; as root)
	@if [ ! -x bin/longpoint ]; then echo 'there is no bin/longpoint yet; run "make build" first, not as root' >&2; exit 1; fi
	install -D -m 755 bin/longpoint "$(DESTDIR)$(PREFIX)/bin/longpoint"

.PHONY: manual
manual: build ## the manual as dist/longpoint-manual.html and .pdf
	@mkdir -p dist && rm -f dist/longpoint-manual.html dist/longpoint-manual.pdf
	bin/longpoint help --out dist/longpoint-manual.html
	bin/longpoint help --out dist/longpoint-manual.pdf

.PHONY: deps
deps: ## install what the build needs and is missing: a C compiler and GLPK
	@.ci/deps

.PHONY: test-deps
test-deps: ## install what the tests need besides: poppler-utils, qpdf, zbar-tools, mandoc, shells
	@.ci/deps test

##@ For developers

.PHONY: check
check: deps ## goimports (with gofmt's form), go vet, staticcheck
	@unformatted=$$(go tool goimports -local longpoint -l .); \
	if [ -n "$$unformatted" ]; then printf 'not formatted; run go tool goimports -local longpoint -w on:\n%s\n' "$$unformatted" >&2; exit 1; fi
	go vet ./...
	go tool staticcheck ./...

.PHONY: race
race: deps ## the tests under the race detector, where things run side by side
	go test -race -short $(CONCURRENT) -run '$(SIDES)'
	go test -race -run LabelsInOrder ./cmd/longpoint/sheet
	go test -race -short ./model/book -run '$(BOOKSIDES)'

.PHONY: cover
cover: deps ## what share of its statements each package's own tests run: at least 92 % where plans and books come from
	@profile=$$(mktemp); trap 'rm -f "$$profile"' EXIT; \
	go test -coverprofile="$$profile" ./solver ./solver/check ./model ./model/planner ./model/audit ./model/stock ./model/sequence ./model/book; \
	.ci/cover "$$profile"

.PHONY: fuzz
fuzz: deps ## each fuzz target for a few seconds (FUZZTIME=5s)
	@grep -rE --include='*_test.go' '^func Fuzz[A-Za-z]+\(' . | sed -E 's|/[^/]*_test.go:func (Fuzz[A-Za-z]+).*| \1|' | sort | \
	while read -r package target; do \
		echo "== $$target in $$package"; \
		go test -run '^$$' -fuzz "^$$target\$$" -fuzztime $(FUZZTIME) "$$package" </dev/null; \
	done

.PHONY: browser
browser: ## the shop's pages, the printed ones as HTML and the manual, in a real browser, which is installed where missing
	@.ci/deps browser
	go test ./cmd/longpoint/page ./cmd/longpoint/sheet ./cmd/longpoint/manual -tags browser -run 'Browser|Difference' -p 1

.PHONY: pages
pages: ## two browsers at once 200 times, the server killed 100 times, the network cut 50 times, fifty clients for a minute
	go test ./cmd/longpoint/page -run 'TwoAtOnce|ServerKilled|NetworkCut|TestLoad' -rivals 200 -kills 100 -breaks 50 -load 1m -timeout 30m -v

.PHONY: stops
stops: deps ## GLPK stopped at every call in turn, in forty random problems
	go test ./solver -tags stopglpk -run GLPKStopped -timeout 1h -v

.PHONY: cross
cross: deps ## ten thousand random problems, and five thousand with choices, against GLPK's branch and bound
	go test ./solver -run AgainstMIP -seeds 10000 -choices 5000 -timeout 2h -v

.PHONY: forge
forge: deps ## 20,000 spoilt plans of random workshops, each of which the audit must find (SEED=1)
	go test ./model/audit -run TestForged -forged 20000 -seed $(SEED)000000 -timeout 2h -v

.PHONY: properties
properties: deps ## 50,000 random workshops planned again scaled, shuffled, with a stick more, on other cores (SEED=1)
	go test ./model/audit -run TestProperties -shops 50000 -seed $(SEED)000000 -timeout 12h -v

.PHONY: optimum
optimum: deps ## 3,000 random workshops against trying everything (SEED=1)
	go test ./model/planner -run AgainstEverything -brute 3000 -brute-seed $(SEED)000000 -timeout 6h -v

.PHONY: glpk
glpk: deps ## 100,000 linear programs, each answer proven, in flat memory (SEED=1)
	go test ./solver/glpk -run TestFlatMemory -solves 100000 -solves-seed $(SEED) -timeout 30m -v

.PHONY: mutants
mutants: deps ## plant faults, one at a time, and run the tests that should see them (FAULTS=60 SEED=1 MUTATED=model)
	go run ./bench/mutate --faults $(FAULTS) --seed $(SEED) $(MUTATED)

.PHONY: kill
kill: deps ## kill processes at work on a book 2,000 times at random moments (SEED=1)
	go test ./model/book -run TestKills -kills 2000 -kill-seed $(SEED) -timeout 60m -v

.PHONY: damage
damage: deps ## damage 1,000 books at random (SEED=1)
	go test ./model/book -run 'TestDamage$$' -damaged 1000 -damage-seed $(SEED) -timeout 30m -v

.PHONY: abuse
abuse: deps ## give the program 10,000 mutated inputs: tables, settings, workbooks, price lists, plans, cuts documents, files of instances (SEED=1)
	go test ./cmd/longpoint -run 'TestAbuse|TestMutated|TestMemoryLimit' -mutated 10000 -mutated-seed $(SEED) -timeout 60m -v
	go test ./bench/instances -run TestMutated -mutated 10000 -mutated-seed $(SEED) -v

.PHONY: faults
faults: deps ## fail system calls one at a time in every command, and kill it at its writes, by strace (EACH=3 COMMANDS="take plan")
	EACH="$(EACH)" COMMANDS="$(COMMANDS)" .ci/faults

.PHONY: rivals
rivals: deps ## eight writers and eight readers on one book for a minute
	go test ./model/book -run TestRivals -rivalry 1m -timeout 10m -v

.PHONY: conserve
conserve: deps ## 300 random sequences in a shop against a plain model of it
	go test ./model/book -run TestConservation -sequences 300 -timeout 60m

.PHONY: vulnerabilities
vulnerabilities: deps ## known faults in what is called, by govulncheck
	.ci/vulnerabilities

.PHONY: tag
tag: deps ## make a release of what is checked out: change log, version, commit, tag (VERSION=0.2.0)
	.ci/tag $(VERSION)

.PHONY: release
release: deps ## what people download, in dist: linux, Windows, a Debian package, each tried (RELEASE=linux-amd64)
	.ci/release $(RELEASE)

##@ For measuring; what has been measured is not measured again (BENCHTIME=60s)

.PHONY: bench
bench: bench-solve bench-peers bench-profiles bench-shop bench-waiting bench-commands bench-weeks bench-report ## the whole published table, peers, workshops, weeks, summary; takes an hour or more

.PHONY: bench-solve
bench-solve: deps ## every published instance, each plan checked, one row an instance
	go run ./bench solve --time-limit $(BENCHTIME) --table $(BENCHOUT)/solve.csv --solutions $(BENCHOUT)/solutions $(INSTANCES)

.PHONY: bench-peers
bench-peers: deps ## some instances of each class with general-purpose solvers beside ours
	go run ./bench peers --time-limit $(BENCHTIME) --table $(BENCHOUT)/peers.csv --picture $(BENCHOUT)/peers.svg $(INSTANCES)

.PHONY: bench-profiles
bench-profiles: deps ## profiles of generated weeks, stated whole for general-purpose solvers, beside ours
	go run ./bench peers --frames 20,40,60 --time-limit $(BENCHTIME) --table $(BENCHOUT)/profiles.csv --picture $(BENCHOUT)/profiles.svg

.PHONY: bench-shop
bench-shop: deps ## generated workshops of growing size: time and memory
	go run ./bench shop --table $(BENCHOUT)/shop.csv --pictures $(BENCHOUT)

.PHONY: bench-waiting
bench-waiting: deps ## generated weeks with everything on: how long a shop waits for a plan and for its proof
	go run ./bench waiting --table $(BENCHOUT)/waiting.csv --pictures $(BENCHOUT)

.PHONY: bench-commands
bench-commands: deps ## how long a shop waits for a quotation, an order and a plan after a mishap, beside a plan
	go run ./bench commands --table $(BENCHOUT)/commands.csv

.PHONY: bench-weeks
bench-weeks: deps ## 200 weeks of a generated workshop, the rack carried over, beside first-fit
	go run ./bench weeks --table $(BENCHOUT)/weeks.csv --pictures $(BENCHOUT)

.PHONY: bench-sheets
bench-sheets: deps ## the cut sheet of 500 sticks: seconds and memory, which must not exceed 2 s and 200 MB
	go test ./cmd/longpoint/sheet -run '^$$' -bench "FiveHundred|Labels" -benchtime 3x

.PHONY: bench-book
bench-book: deps ## a book after ten years of a busy shop beside a fresh one
	go test ./model/book -run '^$$' -bench TenYears -benchtime 1x -timeout 60m

.PHONY: compare
compare: deps ## the Go benchmarks of solver and planner beside those of the last release
	.ci/compare -benchtime=5x

.PHONY: bench-report
bench-report: deps ## write bench/RESULTS.md and its pictures from what was measured
	go run ./bench report --folder $(BENCHOUT)
