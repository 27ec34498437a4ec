package audit

import "coolhold/logbook"

const (
	rejectLists = "reject lists of WIS 4-32-08, DVS 2202-1, EN 13100-1, from memory; severity is our choice"
	practice    = "common practice, no source"
	ourChoice   = "our choice, adjustable"
	cutOutDo    = "cut it out and weld again with a new fitting"
	decideDo    = "the foreman decides: accept by name with a reason, or cut it out"
)

// Rules is every rule, in the order of the work.
var Rules = []Rule{
	{
		Slug: "unscraped", Severity: Fail, Scope: OnWeld, Basis: rejectLists, Do: cutOutDo,
		Says: "a fused weld whose pipe was not scraped all round", Check: unscraped,
	},
	{
		Slug: "keyed-unlike-table", Severity: Fail, Scope: OnWeld, Do: cutOutDo,
		Basis: "DVS 2207-1 Suppl. 1, 4.4: time shown must equal that of the fitting, else stop",
		Says:  "a weld fused with volts or seconds unlike its table", Check: keyedUnlike,
	},
	{
		Slug: "stopped-in-fusion", Severity: Fail, Scope: OnWeld, Do: "let it cool, then " + cutOutDo,
		Basis: "UK gas checklists DN.14A/DN.27: let it cool, cut it out, no re-fusion",
		Says:  "a fusion that stopped before its time", Check: stoppedInFusion,
	},
	{
		Slug: "indicator-flat", Severity: Fail, Scope: OnWeld, Do: cutOutDo,
		Basis: "UK trade guidance, as restated: all indicators must have risen, else cut out",
		Says:  "an indicator flat at any look", Check: indicator(logbook.Flat),
	},
	{
		Slug: "melt-outside", Severity: Fail, Scope: OnWeld, Basis: rejectLists, Do: cutOutDo,
		Says: "melt seen outside the fitting", Check: seen("melt outside the fitting", func(l logbook.Look) bool { return l.Melt == "outside" }),
	},
	{
		Slug: "wire-seen", Severity: Fail, Scope: OnWeld, Basis: rejectLists, Do: cutOutDo,
		Says: "heating wire seen", Check: seen("heating wire visible", func(l logbook.Look) bool { return l.Wire == "seen" }),
	},
	{
		Slug: "disturbed", Severity: Fail, Scope: OnWeld, Do: cutOutDo,
		Basis: "UK gas checklist DN.14A: no movement during fusion and cooling",
		Says:  "a joint moved or unclamped before its cooling time was over", Check: disturbed,
	},
	{
		Slug: "released-early", Severity: Fail, Scope: OnWeld, Do: cutOutDo,
		Basis: "UK gas checklist DN.14A: no movement during fusion and cooling",
		Says:  "a release stated for a time before the hold was over", Check: releasedEarly,
	},
	{
		Slug: "preparation-could-not", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: "trade press on WIS 4-32-08:2016, as restated: over 90 % of failures go back to preparation",
		Says:  "an item of preparation that could not be done", Check: couldNot,
	},
	{
		Slug: "preparation-unsaid", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: rejectLists,
		Says: "a fused weld with an item of preparation not answered", Check: prepUnsaid,
	},
	{
		Slug: "scraping-method", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: "the site plan's requirement; some clients forbid hand scraping (Tauranga IDC CS-9.1.1)",
		Says:  "scraped otherwise than the site requires", Check: scrapingMethod,
	},
	{
		Slug: "fitting-unlike-plan", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: ourChoice,
		Says: "a fitting other than the plan's", Check: fittingUnlike,
	},
	{
		Slug: "pipe-unlike-plan", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: "PIPA POP001: limits for unlike pipes are printed on the fitting",
		Says: "a pipe whose print is unlike the plan", Check: pipeUnlike,
	},
	{
		Slug: "wet", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: "no water in the zone, steam makes voids (Rubeiz, PPI); shelter from rain (CJJ 63-2008)",
		Says:  "fused in rain or snow without a shelter", Check: wet,
	},
	{
		Slug: "ambient-outside", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: "the fitting's own table; times are never extrapolated",
		Says:  "fused at a temperature outside the table's bands", Check: ambientOutside,
	},
	{
		Slug: "resistance-outside", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: "printed tolerance, else ISO 8085-3 and EN 1555-3, from memory",
		Says:  "resistance outside the fitting's window", Check: resistanceOutside,
	},
	{
		Slug: "row-not-allowed", Severity: Query, Scope: OnWeld, Do: "compare bag and table; " + decideDo, Basis: ourChoice,
		Says: "fused by a table row not read back, or stopped by a bag", Check: rowNotAllowed,
	},
	{
		Slug: "run-unlike-set", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: rejectLists,
		Says: "seconds run, as the unit showed, unlike the seconds set", Check: runUnlike,
	},
	{
		Slug: "nobody-saw", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: practice,
		Says: "a fusion whose end nobody saw, or that was not watched to its end", Check: nobodySaw,
	},
	{
		Slug: "indicator-part", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: rejectLists,
		Says: "an indicator only part up", Check: indicator(logbook.Part),
	},
	{
		Slug: "not-seen", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: rejectLists,
		Says: "something that should have been looked at and could not be", Check: notSeen,
	},
	{
		Slug: "marks-moved", Severity: Query, Scope: OnWeld, Basis: rejectLists, Do: decideDo,
		Says: "insertion marks moved", Check: seen("insertion marks moved", func(l logbook.Look) bool { return l.Marks == "moved" }),
	},
	{
		Slug: "not-straight", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: "IKV Aachen on DVS 2202: misalignment at most 2° in quality group II",
		Says:  "pipe and fitting not in line", Check: seen("not straight", func(l logbook.Look) bool { return l.Straight == "no" }),
	},
	{
		Slug: "moves", Severity: Fail, Scope: OnWeld, Basis: rejectLists, Do: cutOutDo,
		Says: "a joint that moves when felt", Check: seen("moves when felt", func(l logbook.Look) bool { return l.Felt == "moves" }),
	},
	{
		Slug: "clock-doubted", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: ourChoice,
		Says: "a gap in a hold that a person accepted by the wall clock", Check: clockDoubted,
	},
	{
		Slug: "hold-across-restart", Severity: Note, Scope: OnWeld, Basis: ourChoice,
		Do:   "nothing: the longer remainder was counted",
		Says: "a hold that ran across a restart of the machine", Check: heldAcrossRestart,
	},
	{
		Slug: "entered-later", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: ourChoice,
		Says: "a weld entered from memory or paper", Check: enteredLater,
	},
	{
		Slug: "batch-missing", Severity: Note, Scope: OnWeld, Do: "look for the bag or the print on the pipe", Basis: rejectLists,
		Says: "no batch recorded for fitting or pipe", Check: batchMissing,
	},
	{
		Slug: "walk-open", Severity: Query, Scope: OnWeld, Work: true, Do: "resume the walk, or give the weld up", Basis: practice,
		Says: "a walk begun and not finished", Check: walkOpen,
	},
	{
		Slug: "end-unsaid", Severity: Query, Scope: OnWeld, Work: true, Do: "say how it ended", Basis: practice,
		Says: "a fusion begun whose end is not recorded", Check: endUnsaid,
	},
	{
		Slug: "unread", Severity: Query, Scope: OnWeld, Work: true, Do: "look at the indicators", Basis: practice,
		Says: "a fused weld whose indicators were not read", Check: unread,
	},
	{
		Slug: "unreleased", Severity: Query, Scope: OnWeld, Work: true, Do: "when the hold is over: feel, look, release", Basis: practice,
		Says: "a hold that was not ended by a release", Check: unreleased,
	},
	{
		Slug: "round-not-done", Severity: Query, Scope: OnWeld, Work: true, Do: "feel it and look at its indicators once more", Basis: practice,
		Says: "a weld of a closed shift that the last round did not reach", Check: roundNotDone,
	},
	{
		Slug: "missing-weld", Severity: Query, Scope: OnJoint, Work: true, Do: "weld it, or strike it off with a reason", Basis: practice,
		Says: "a joint of the plan in which nothing stands", Check: missingWeld,
	},
	{
		Slug: "fail-not-cut-out", Severity: Fail, Scope: OnJoint, Work: true, Do: cutOutDo,
		Basis: "UK gas checklists DN.14A/DN.27",
		Says:  "a failed weld that still stands in its joint", Check: failNotCut,
	},
	{
		Slug: "shift-open", Severity: Query, Scope: OnSite, Work: true, Do: "make the last round and close the shift", Basis: practice,
		Says: "a shift left open past its day", Check: shiftOpen,
	},
}
