# potlife: `make demo` runs the main job, `make test` passes the tests.
# Both install what they need through .ci/need where the machine allows it.

GO      ?= go
BIN     := bin/potlife
VERSION := $(shell git describe --tags --always --dirty 2>/dev/null || echo unknown)
LDFLAGS := -s -w -X potlife/cmd/potlife/internal/cli.Version=$(VERSION)

export TESTCONTAINERS_RYUK_DISABLED ?= true
export TESTCONTAINERS_HOST_OVERRIDE ?= localhost

.PHONY: help build demo test quick lint bench check-plans beside compose-test chaos fuzz pictures clean

help: ## list the targets
	@grep -hE '^[a-z-]+:.*##' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 16

build: ## build bin/potlife and bin/yardstick
	CGO_ENABLED=0 $(GO) build -trimpath -ldflags '$(LDFLAGS)' -o bin/ ./cmd/potlife ./cmd/yardstick

demo: ## plan the demo job and serve it (ONCE=1: print the summary and stop)
	@.ci/need postgresql
	@$(MAKE) --no-print-directory build
	@$(BIN) demo $(if $(ONCE),--once,)

# The longest tests of the engines, of job files and printed days, and those of a job's
# evenings from the first to the last, which go through their cases one after the other:
# without the race detector they take an eighth of the time, and what they call runs
# under it in all the other tests.
LONG   := ^(TestLongAreasOfWhoWorksAlone|TestEveryPatternAgainstSimplefeatures|TestOwnPatternsAgainstSimplefeatures|TestAgainstGEOS|TestRandomZones|TestRandomRooms|TestCheckLayoutAcceptsWhatIsLaid|TestSearchWeighsWhatIsLaid|TestNoOriginIsBetter|TestNoOriginIsBetterOfOwnPatterns|TestBarsOpenData|TestSqueezeOfWalls|TestSqueezedPlansHold|TestOffcutsAgainstBruteForce|TestOffcutsStopAndRepeat|TestOffcutsOfWalls|TestSwapsWasteNothing|TestPublishedValues|TestAgainstBruteForce|TestCuresBeginWhenWorkIsReportedDone|TestWorkAndCuresOverClockChanges|TestRandomReportsKeepTheRules|TestPlanIsBoundedByAllItsWork|TestOnePersonAway|TestWholeBags|TestPlansOverClockChanges|TestRandomPlans|TestLoneSetterHasTimeForCutsAhead|TestKeptOffcutsAreCutFurther|TestAnOffcutFromTheYardToTheSheetAndAway|TestGoodsThatNobodyBookedIn|TestARecutTakenBackAfterTheNextIssue|TestACureBeginsWhenTheCoatIsReported|TestAJobIssuedToItsEnd|TestWhatIfTellsTheDifference|TestOneGoesOnAlone|TestStatusOfOtherCrews|TestARoomGoesWithoutItsMarginAlone|TestReplanKeepsWhatIsFrozen|TestNoSkillIsWhatPlansRefuse|TestDueDaysThatAreOver|TestOffcutsOutliveTheirJob|TestTemperaturesByDay|TestBoxesComeWithTheFirstCut|TestJointsMeetInTheFolds|TestGoldenPatterns|TestNoOriginOfPlanesIsBetter|TestOneAxisGiven|TestTakeSharing|TestStripTooThinForTile|TestTheLoopOverClockChanges|TestWorkDoneAtAnotherTime|TestBadDeliveriesChangeNothing|TestWhatIsMissingIsMovedAndTold|TestACorrectionUndoesWhatFollowed|TestALateCoatRevisesTheSheetThatIsOut|TestRoomCosts|TestRunsKeepToPeopleToolsAndHours|TestAreasWaitForWhatIsSawnTheSameDay|TestBegunRoomGoesToAnotherCrew|TestIssuedCutsDryBeforeTheirArea|TestFoldsLeaveNoSlivers|TestStripsOfAnyOutline|TestSearchWeighsFolds|TestTakeSharingOfALot|TestEnvelopeFloor|TestMeasuredLots|TestReplanWithoutNews|TestCheckAfterFindsWhatCheckFinds|TestMeasuredAfterIssue|TestReplanLooksFurtherWhereItMust|TestNothingIsCutFromTileThatHasNotCome|TestOffcutInHandBreaks|TestAWaitStandsOnce|TestCheckPlanFindsWhatIsBroken|TestWaitsNameWhatTheyWaitFor|TestPrimeLevelGroutSeal|TestWhatNobodyReportedIsUnconfirmed|TestIssuingReservesTheBoxes|TestSoftJointLeavesTheBestPieces|TestRunnersUpOfCoupledPatternsLieApart|TestAnOrdinaryDayTakesTwoPages|TestDamagedDocumentsAreErrorsNotPanics|TestSentencesSpeakAsTheFirmDoes|TestEveryFieldIsKept|TestHoldsByTheOrderOfWork|TestQuickFormsWithZones|TestAlikePiecesNeedNoMore|TestUnnamedWaysAreTold|TestReplanKeepsToItsOrders|TestPersonRecordedChangesThePlan|TestRandomPlansKeepAreasAndDrying|TestFewerDrives|TestWithoutUncertaintyARunIsThePlan|TestAreasOfOneRoomAreDividedAnew|TestBegunRoomGoesBackToItsCrew|TestCheckPlanFindsWrongStops|TestASlowSetterTakesLonger|TestPlansWithOwnHours)$$
# What takes longest begins first, so that no processor waits for it at the end.
FIRST  := ./cmd/potlife/internal/app ./scheduler ./takeoff
LONGIN := ./takeoff/... ./scheduler/... ./cmd/potlife/internal/plandoc ./cmd/potlife/internal/app ./cmd/potlife/internal/jobfile ./cmd/potlife/internal/sheet

test: lint ## everything that CI runs
	@.ci/need postgresql chromium shapely pdf image
	$(GO) test -race -skip '$(LONG)' -timeout 20m $(FIRST) ./...
	$(GO) test -run '$(LONG)' -timeout 20m $(LONGIN)

quick: ## the pure packages only
	$(GO) test ./rooms/... ./takeoff/... ./scheduler/...

lint: ## gofmt, vet and staticcheck
	@test -z "$$(gofmt -l $$(git ls-files '*.go'))" || { echo "gofmt would change:"; gofmt -l $$(git ls-files '*.go'); exit 1; }
	$(GO) vet ./...
	$(GO) tool -modfile=tools/go.mod staticcheck ./...

bench: ## benchmarks of the engines; compare two runs with benchstat
	$(GO) test -run '^$$' -bench . -benchmem -count 6 ./rooms/... ./takeoff/... ./scheduler/...

check-plans: ## 200 random jobs, each held to the plan rules by two independent checkers
	@.ci/need shapely
	POTLIFE_RANDOM_PLANS=200 $(GO) test -count 1 -run RandomPlans -timeout 60m -v ./cmd/potlife/internal/plandoc

beside: ## our scheduler beside a general constraint solver: same time, one core (FILES="…", SECONDS=10)
	@.ci/need minizinc
	@$(MAKE) --no-print-directory build
	@bin/yardstick beside -seconds $(or $(SECONDS),10) $(or $(FILES),$(wildcard ../shared/data/rcpsp/j60/j60?1_1.sm))

compose-test: ## both containers come up and the page answers (takes minutes)
	integration/compose.sh

chaos: ## replicas killed at random; one issue per crew and day, whatever happens
	@.ci/need postgresql
	POTLIFE_CHAOS_ROUNDS=200 $(GO) test -count 1 -run Chaos -timeout 60m -v ./integration

pictures: ## draw README's pictures again
	@.ci/need postgresql pdf
	POTLIFE_PICTURES=1 $(GO) test -count 1 -run Pictures ./integration

fuzz: ## a minute for each fuzz target
	@for p in $$($(GO) list ./...); do for f in $$($(GO) test -list '^Fuzz' $$p | grep ^Fuzz); do \
		echo "$$p $$f"; $(GO) test -run '^$$' -fuzz "^$$f$$" -fuzztime 1m $$p || exit 1; done; done

clean: ## remove what was built
	rm -rf bin dist
