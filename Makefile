# handrule: `make run` builds and serves, `make test` checks everything. `make help` lists the rest.

LISTEN ?= 127.0.0.1:8080
GO     ?= go

# Multiplying and adding are not fused, so that an arm moves the same on every processor, bit for bit. For those of a PC that is the compiler's
# way up to GOAMD64=v2. It logs where it does not fuse; nobody reads that.
export GOAMD64 := v1
UNFUSED := -gcflags=all=-d=fmahash=n
export GSHS_LOGFILE := /dev/null
FLAGS = $(if $(filter amd64,$(or $(GOARCH),$(shell $(GO) env GOARCH))),,$(UNFUSED))

LEARNERS ?= 600
SECONDS  ?= 60
TIMES    ?= 100
RUNS     ?= 3
FUZZTIME ?= 30s
# -race: with the race detector
RACE     ?=
# where a test run notes the outside checks that it could not make
SKIPPED  := $(abspath bin)/skipped

.PHONY: help run build page alone test test-go test-page generate pictures tools bench thorough thorough-page load cluster attack soak fuzz dist site-size site-speed site-pace clean

help: ## list what can be made
	@grep -E '^[a-z-]+:.*##' $(MAKEFILE_LIST) | sed -E 's/:[^#]*##/\t/'

run: build ## build everything and serve the sandbox
	./bin/handrule serve --listen $(LISTEN)

build: page alone ## one self-contained binary, bin/handrule
	$(GO) build $(FLAGS) -o bin/handrule ./cmd/handrule

page: web/node_modules/.package-lock.json ## the page's bundle, static/dist
	cd web && npm run --silent build

alone: web/node_modules/.package-lock.json ## the bench for pages without a server, WebAssembly in static/alone
	@mkdir -p bin
	cd web && node alone.mjs

# npm writes this file last, so it is older than the lock file exactly when an install is due.
web/node_modules/.package-lock.json: web/package-lock.json
	@command -v npm >/dev/null || { echo "handrule needs Node.js with npm to build its page: install Node 20 or newer" >&2; exit 1; }
	cd web && PLAYWRIGHT_SKIP_BROWSER_DOWNLOAD=1 npm ci --no-audit --no-fund
	@touch $@

# Both halves at the same time, each one's output in one piece when it has ended. A failure of either is one of the whole.
test: tools build ## all tests; installs what they need where it can
	@rm -f $(SKIPPED)
	@$(MAKE) --no-print-directory -k $(if $(filter output-sync,$(.FEATURES)),-j2 --output-sync=target) test-page test-go
	@if [ -s $(SKIPPED) ]; then echo "outside checks that were not made:"; sort -u $(SKIPPED); else echo "every outside check was made"; fi

test-page: ## the page in a real browser, against the real server
	cd web && HANDRULE_SKIPPED=$(SKIPPED) npm test --silent

thorough-page: tools build ## all combinations in a real browser, against the server and with a bench of the page's own; hours
	cd web && THOROUGH=1 npm test --silent

test-go: ## everything in Go, and that generated files are up to date
	@before=$$(cat web/*_templ.go | sha256sum); (cd web && $(GO) tool templ generate >/dev/null 2>&1) && \
		[ "$$before" = "$$(cat web/*_templ.go | sha256sum)" ] || \
		{ echo "web/*_templ.go differ from the templates; they are made anew now: commit them" >&2; exit 1; }
	$(GO) vet ./...
	HANDRULE_SKIPPED=$(SKIPPED) nice $(GO) test ./... # behind the browser's, in which a control held on the page is let go when the page is starved
	nice $(GO) test -race -skip '^TestEveryWriteIsOnTheDisk$$' ./server ./server/store/... ./scenarios/results $$($(GO) list ./internal/... | grep -v internal/traces) # traces are of one goroutine; the engine that is opened anew at once writes what its last goroutines, not yet begun, read
	nice $(GO) test -race -run '^TestRandomRequests|^Fuzz' ./server/bench ./server/class
	nice $(GO) test -short -run '^$$' -bench . -benchtime 1x ./kinematics/... ./scenarios/... ./server/... >/dev/null # that they run, and no more
	@nice $(MAKE) --no-print-directory fuzz FUZZTIME=20x >/dev/null

tools: ## a browser and the reference library for the tests, where this machine can install them
	@./.ci/tools

generate: ## the files made from others: templ components, the page's types
	$(GO) generate ./...

pictures: tools build ## the docs' pictures, as the page is now, without metadata
	cd web && npx playwright test --config pictures.config.ts
	$(GO) test ./docs -strip

bench: ## speeds and allocations
	$(GO) test -run '^$$' -bench . -benchmem ./kinematics/... ./scenarios/... ./server/...

thorough: ## all Go tests with new random cases, and far more of them; it takes an hour or so
	HANDRULE_DRAWS=new HANDRULE_THOROUGH=1 $(GO) test -count 1 -timeout 3h ./...
	$(GO) test -race -count 1 -timeout 3h ./server/... ./scenarios # what files and requests may cost is bounded under the race detector, too

load: build ## drives a server with many learners at once and prints what it costs; LEARNERS=600 SECONDS=60 RUNS=3; LEARNERS=100 ROOMS=1; LEARNERS=1 IDLE=500; CLASSES=1 LEARNERS=300, or CLASSES=12 LEARNERS=25
	$(GO) build -o bin/load ./internal/load
	./bin/load -classes $(or $(CLASSES),0) -learners $(LEARNERS) -seconds $(SECONDS) -runs $(RUNS) -idle $(or $(IDLE),0) $(if $(ROOMS),-rooms)

cluster: build ## three NATS nodes, two processes and nginx; kills them in the middle of jogs and prints what learners see; LEARNERS=100 TIMES=100
	$(GO) build -o bin/cluster ./internal/cluster
	./bin/cluster -learners $(or $(filter-out 600,$(LEARNERS)),100) -times $(TIMES)

attack: build ## floods by one page beside two learners, and what they cost those, as a table; ten minutes on a machine with nothing else to do
	$(GO) run ./internal/attack

soak: ## 500 learners coming and going for ten minutes, as a table of goroutines and memory
	HANDRULE_SOAK=10m $(GO) test ./server -run TestSoak -count 1 -timeout 20m -v

site-size: build ## what the first visit of a site without a server loads, packed
	@rm -rf bin/site && ./bin/handrule site bin/site >/dev/null && node web/site-size.mjs bin/site

site-speed: ## what a frame of a moving arm costs here and in WebAssembly, run by Node
	$(GO) test -run '^$$' -bench StreamedFrame -count 5 ./server/bench
	GOOS=js GOARCH=wasm $(GO) test -run '^$$' -bench StreamedFrame -count 5 -exec "node --stack-size=8192 $$($(GO) env GOROOT)/lib/wasm/wasm_exec_node.js" ./server/bench

site-pace: build ## how soon a site can be used and answers a press, and how late frames come beside long questions, in a browser
	@rm -rf bin/site && ./bin/handrule site bin/site >/dev/null && node web/site-slices.mjs bin/site && node web/site-pace.mjs bin/site

fuzz: ## each fuzz target for half a minute, or FUZZTIME=2m; RACE=-race with the race detector
	@for package in $$($(GO) list ./...); do \
		for target in $$($(GO) test -list '^Fuzz' $$package | grep ^Fuzz); do \
			$(GO) test $(RACE) -run '^$$' -fuzz "^$$target$$" -fuzztime $(FUZZTIME) -fuzzminimizetime 5x $$package || exit 1; \
		done; \
	done

# A system and a processor each; a checksum of every file is beside them (sha256sum -c checks them).
DIST := linux-amd64 linux-arm64 darwin-amd64 darwin-arm64 windows-amd64 windows-arm64

dist: page alone ## stripped single binaries for Linux, macOS and Windows in bin/dist, with checksums
	@rm -rf bin/dist && mkdir -p bin/dist
	@set -e; for to in $(DIST); do \
		system=$${to%-*}; processor=$${to#*-}; ending=; flags=; \
		[ $$system = windows ] && ending=.exe; [ $$processor = amd64 ] || flags='$(UNFUSED)'; \
		echo "handrule-$$to$$ending"; \
		CGO_ENABLED=0 GOOS=$$system GOARCH=$$processor $(GO) build -trimpath -ldflags='-s -w' $$flags -o bin/dist/handrule-$$to$$ending ./cmd/handrule; \
	done
	@cd bin/dist && sha256sum handrule-* > SHA256SUMS && cat SHA256SUMS

clean: ## what was built
	rm -rf bin static/dist static/alone web/node_modules web/test-results web/playwright-report
