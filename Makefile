# make demo    plan a sample job and say where its papers are
# make test    every test
# make bench-samples bench-papers bench-electrical bench-optimiser bench-bound bench-cutting bench-batch bench-diagnose bench-published bench-textbook bench-survey
#              measurements (benches/README.md says of what, and how)
# make peer-check peer-cutting peer-survey peer-layout
#              comparison with an independent solution of the same question
# make ci      what a change must pass
# make fuzz SECONDS=60    every reader against broken text, so long each or EXECUTIONS=10000000 texts (READER=plan for one)
# make mutants SHARD=0/20 the electrical rooms and the bill, altered one operator at a time: the tests must notice (needs cargo-mutants)
# make faults KILLS=200   batch, order and rebuild killed so often each
# make same    every sample planned on 1, 2 and 8 threads, byte for byte
# make deny    sources, licences and advisories (from the network) of the dependencies

CARGO ?= cargo
SAMPLE ?= courtyard
OUT ?= out/$(SAMPLE)
BENCH = $(CARGO) run --quiet --release -p duskwright-benches --bin

.PHONY: setup demo test ci bench-samples bench-papers bench-electrical bench-optimiser bench-bound bench-cutting bench-batch bench-diagnose bench-published bench-textbook bench-survey peer-check peer-cutting peer-survey peer-layout fuzz mutants faults same deny

setup:
	@bash .ci/setup

demo: setup
	$(CARGO) build --release -p duskwright
	./target/release/duskwright plan samples/$(SAMPLE) --out $(OUT)
	@echo
	@echo "report: $(CURDIR)/$(OUT)/report.pdf"
	@echo "bill:   $(CURDIR)/$(OUT)/bill.csv"

test: setup
	$(CARGO) test --workspace

SECONDS ?= 1800
KILLS ?= 200

fuzz: setup
	SECONDS=$(SECONDS) EXECUTIONS=$(EXECUTIONS) READER=$(READER) \
	    $(CARGO) test --release --workspace --test fuzz --bin duskwright -- --ignored --nocapture hoards_for_long

SHARD ?= 0/1
DUSKWRIGHT_REFERENCE_DATA ?= $(abspath ../shared/reference-data)

mutants: setup
	@$(CARGO) mutants --version || { echo "cargo install cargo-mutants --locked"; exit 1; }
	DUSKWRIGHT_REFERENCE_DATA=$(DUSKWRIGHT_REFERENCE_DATA) $(CARGO) test --workspace --lib --test properties --test published --test spec -- electrical bill second_opinion
	DUSKWRIGHT_REFERENCE_DATA=$(DUSKWRIGHT_REFERENCE_DATA) $(CARGO) mutants --baseline skip --timeout 120 --shard $(SHARD) $(if $(FILE),--file '$(FILE)')

faults: setup
	KILLS=$(KILLS) $(CARGO) test --package duskwright --test command -- faults --nocapture

same: setup
	$(CARGO) test --package duskwright --test command -- --ignored same

deny:
	@if $(CARGO) deny --version >/dev/null 2>&1; then \
	    $(CARGO) deny --locked check bans licenses sources && $(CARGO) deny --locked check advisories; \
	else echo "cargo-deny is not installed (cargo install cargo-deny --locked); checking licences only"; \
	$(CARGO) test --package duskwright --test command -- licences; fi

ci:
	bash .ci/run

bench-samples: setup
	$(BENCH) bench-samples
bench-papers: setup
	$(BENCH) bench-papers
bench-electrical: setup
	$(BENCH) bench-electrical
bench-optimiser: setup
	$(BENCH) bench-optimiser
bench-bound: setup
	$(BENCH) bench-bound
bench-cutting: setup
	$(BENCH) bench-cutting
bench-batch: setup
	$(CARGO) build --release -p duskwright
	$(BENCH) bench-batch
bench-published: setup
	$(BENCH) bench-published
bench-textbook: setup
	$(BENCH) bench-textbook
bench-diagnose: setup
	$(BENCH) bench-diagnose
bench-survey: setup
	$(CARGO) run --quiet --release -p duskwright-survey --example bench-survey
peer-check: setup
	bash tests/peer/run.sh
peer-cutting: setup
	bash tests/peer/cutting.sh
peer-survey: setup
	bash tests/peer/survey.sh
peer-layout: setup
	bash tests/peer/layout.sh
