# make demo    plan a sample job and say where its papers are
# make test    every test
# make bench-samples bench-papers bench-electrical bench-optimiser bench-cutting bench-batch bench-diagnose bench-published
#              measurements (benches/README.md says of what, and how)
# make peer-check peer-cutting
#              comparison with an independent solution of the same question
# make ci      what a change must pass

CARGO ?= cargo
SAMPLE ?= courtyard
OUT ?= out/$(SAMPLE)
BENCH = $(CARGO) run --quiet --release -p duskwright-benches --bin

.PHONY: setup demo test ci bench-samples bench-papers bench-electrical bench-optimiser bench-cutting bench-batch bench-diagnose bench-published peer-check peer-cutting

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
bench-cutting: setup
	$(BENCH) bench-cutting
bench-batch: setup
	$(CARGO) build --release -p duskwright
	$(BENCH) bench-batch
bench-published: setup
	$(BENCH) bench-published
bench-diagnose: setup
	$(BENCH) bench-diagnose
peer-check: setup
	bash tests/peer/run.sh
peer-cutting: setup
	bash tests/peer/cutting.sh
