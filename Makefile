# Two commands do all: `make run` serves the demo holding and prints its address, `make test` runs every test.

GO ?= go
STATICCHECK = honnef.co/go/tools/cmd/staticcheck@v0.8.2
FUZZTIME ?= 60s

.PHONY: run build test test-long lint bench fuzz needs golden

# Where the holdings are kept is printed; ARGS="--store FILE --listen 127.0.0.1:0" keeps them elsewhere, or takes any free port.
run: build
	@./bin/quickthorn serve testdata/demo.geojson $(ARGS)

build:
	@mkdir -p bin
	$(GO) build -trimpath -o bin/quickthorn ./cmd/quickthorn

# Debian packages that the tests measure against or drive.
needs:
	@.ci/needs GeodSolve=geographiclib-tools chromium=chromium node=nodejs npm=npm pdftotext=poppler-utils ogrinfo=gdal-bin xmllint=libxml2-utils

test: needs lint
	$(GO) test -timeout 14m ./...

# The same tests with more cases, the race detector, and a longer round of every fuzz target.
test-long: needs lint
	@.ci/needs soffice=libreoffice-calc
	RAPID_CHECKS=1000 QUICKTHORN_LONG=1 $(GO) test -race -timeout 90m ./...
	$(MAKE) fuzz FUZZTIME=120s

lint:
	@test -z "$$(gofmt -l .)" || { echo "gofmt would change:"; gofmt -l .; exit 1; }
	$(GO) vet ./...
	$(GO) run $(STATICCHECK) ./...

bench:
	$(GO) test -run '^$$' -bench . -benchmem ./...

# Every fuzz target in turn, FUZZTIME each. What is found is kept under testdata/fuzz and replayed by `make test`.
fuzz:
	@.ci/fuzz $(FUZZTIME)

golden:
	$(GO) test ./planner -run Readme -update
	$(GO) test ./planner/lists ./planner/report ./planner/sheets ./cmd/quickthorn -update
