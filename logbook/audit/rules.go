package audit

import (
	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

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
		Says: "a fused weld whose pipe was not scraped all round", Check: CheckOf(unscraped, unscrapedSays),
	},
	{
		Slug: "keyed-unlike-table", Severity: Fail, Scope: OnWeld, Do: cutOutDo,
		Basis: "DVS 2207-1 Suppl. 1, 4.4: time shown must equal that of the fitting, else stop",
		Says:  "a weld fused with volts or seconds unlike its table, or one that ran far from it, where nothing explains that", Check: CheckOf(keyedUnlike, keyedSays),
	},
	{
		Slug: "settings-far-from-table", Severity: Query, Scope: OnWeld, Do: "ask what the display showed and compare bag, code and table; " + decideDo,
		Basis: ourChoice + ": far is outside the times of the band and of those next to it, a tenth more or less, and more than 0.5 V; what a code or a unit corrects is not known here",
		Says:  "seconds or volts far from the table where a code or the unit itself is said to have given them, or no temperature is known; or seconds run unlike it where nobody wrote down those set", Check: CheckOf(farFromTable, farSays),
	},
	{
		Slug: "correction-contradicted", Severity: Query, Scope: OnWeld, Do: "ask what unit it was and how its time came, and correct that; " + decideDo,
		Basis: ourChoice + ": a unit that does not correct cannot have corrected",
		Says:  "a time said to be corrected for temperature by a unit that is said not to do that", Check: CheckOf(contradicted, contradictedSays),
	},
	{
		Slug: "stopped-in-fusion", Severity: Fail, Scope: OnWeld, Do: "let it cool, then " + cutOutDo,
		Basis: "UK gas checklists DN.14A/DN.27: let it cool, cut it out, no re-fusion",
		Says:  "a fusion that stopped before its time", Check: CheckOf(stoppedInFusion, stoppedSays),
	},
	{
		Slug: "indicator-flat", Severity: Fail, Scope: OnWeld, Do: cutOutDo,
		Basis: "UK trade guidance, as restated: all indicators must have risen, else cut out; that any look counts is our choice, but for one that was flat when hot and up when cold",
		Says:  "an indicator flat at any look, unless all were up once it was cold", Check: CheckOf(flat, sightSays(logbook.Flat)),
	},
	{
		Slug: "indicator-flat-then-up", Severity: Query, Scope: OnWeld, Do: "have somebody else look again; " + decideDo,
		Basis: ourChoice + ": of two looks that say unlike things neither is passed over",
		Says:  "an indicator flat when hot and up when cold", Check: CheckOf(flatThenUp, riseSays),
	},
	{
		Slug: "melt-outside", Severity: Fail, Scope: OnWeld, Basis: rejectLists, Do: cutOutDo,
		Says: "melt seen outside the fitting", Check: seen("melt outside the fitting", func(l logbook.Look) bool { return l.Melt == logbook.MeltOutside }),
	},
	{
		Slug: "wire-seen", Severity: Fail, Scope: OnWeld, Basis: rejectLists, Do: cutOutDo,
		Says: "heating wire to be seen", Check: seen("heating wire visible", func(l logbook.Look) bool { return l.Wire == logbook.WireSeen }),
	},
	{
		Slug: "disturbed", Severity: Fail, Scope: OnWeld, Do: cutOutDo,
		Basis: "UK gas checklist DN.14A: no movement during fusion and cooling",
		Says:  "a joint moved or unclamped before its cooling time was over", Check: CheckOf(disturbed, lineSays),
	},
	{
		Slug: "released-early", Severity: Fail, Scope: OnWeld, Do: cutOutDo,
		Basis: "UK gas checklist DN.14A: no movement during fusion and cooling",
		Says:  "a release stated for a time before the hold was over", Check: CheckOf(releasedEarly, releasedSays),
	},
	{
		Slug: "preparation-could-not", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: "trade press on WIS 4-32-08:2016, as restated: over 90 % of failures go back to preparation",
		Says:  "an item of preparation that could not be done", Check: CheckOf(couldNot, couldNotSays),
	},
	{
		Slug: "preparation-unsaid", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: ourChoice + ": what nobody says is not known; over 90 % of failures go back to preparation (trade press on WIS 4-32-08:2016, as restated)",
		Says:  "a fused weld with an item of preparation not answered", Many: "welds with an item of preparation not answered", Unsaid: true, Check: CheckOf(prepUnsaid, prepUnsaidSays),
	},
	{
		Slug: "scraping-method", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: "the site plan's requirement; some clients forbid hand scraping (Tauranga IDC CS-9.1.1)",
		Says:  "scraped otherwise than the site requires", Check: CheckOf(scrapingMethod, scrapingSays),
	},
	{
		Slug: "fitting-unlike-plan", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: ourChoice,
		Says: "a fitting other than the plan's", Check: CheckOf(fittingUnlike, fittingSays),
	},
	{
		Slug: "fitting-unfit", Severity: Query, Scope: OnWeld, Do: "correct the fitting or the joint; " + decideDo,
		Basis: "the fitting's own table; PIPA POP001: limits for unlike pipes are printed on the fitting",
		Says:  "a fitting that by its table does not go on the pipes that meet there", Check: CheckOf(fittingUnfit, unfitSays),
	},
	{
		Slug: "code-unlike-fitting", Severity: Query, Scope: OnWeld, Do: "compare bag, code and table; " + decideDo,
		Basis: "DVS 2207-1 Suppl. 1, 4.4: time shown must equal that of the fitting; that codes are taught is our choice",
		Says:  "a fitting whose code is taught as another one", Check: CheckOf(codeUnlike, codeSays),
	},
	{
		Slug: "pipe-unlike-plan", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: "PIPA POP001: limits for unlike pipes are printed on the fitting",
		Says: "a pipe whose print is unlike the plan", Check: plain(pipeUnlike, "%s: the print on its pipe is unlike the plan"),
	},
	{
		Slug: "legs-on-one-bar", Severity: Fail, Scope: OnWeld, Basis: practice, Do: cutOutDo,
		Says: "both legs of a circuit on ports of one rail: nothing would move in it", Check: CheckOf(oneBar, oneBarSays),
	},
	{
		Slug: "leg-on-wrong-port", Severity: Query, Scope: OnWeld, Basis: practice,
		Do:   "correct labels and valves by name, or cut it out",
		Says: "a leg on a port other than the plan's, on the right rail", Check: CheckOf(wrongPort, portSays),
	},
	{
		Slug: "two-in-joint", Severity: Query, Scope: OnWeld, Basis: ourChoice,
		Do:   "say which was cut out, or correct the joint of one",
		Says: "a weld that stands in a joint where another stands (several logs)", Check: CheckOf(twoInJoint, twoSays),
	},
	{
		Slug: "two-on-port", Severity: Query, Scope: OnWeld, Basis: "a port takes one pipe",
		Do:   "ask on site which pipe is on the port; correct the port of one, or the foreman accepts it by name with a reason",
		Says: "a weld on a port on which a weld of another joint stands (several logs)", Check: CheckOf(twoOnPort, onPortSays),
	},
	{
		Slug: logsUnlike, Severity: Query, Scope: OnSite, Basis: ourChoice,
		Do:   "ask which plan counts and which welds were made by the other; the foreman accepts it by name with a reason",
		Says: "a site of which several logs have unlike plans, or unlike joints of one label (several logs)", Check: CheckOf(plansDiffer, plansSay),
	},
	{
		Slug: "joint-in-some-logs", Severity: Note, Scope: OnJoint, Basis: ourChoice,
		Do:   "nothing: each log's own list of joints stays as it is",
		Says: "a joint that was added or split, or is not being built, in one log only (several logs)", Check: CheckOf(inSomeLogs, someLogsSay),
	},
	{
		Slug: "ended-with-weld", Severity: Query, Scope: OnJoint, Basis: ourChoice,
		Do:   "ask on site what is built; the foreman accepts it by name with a reason",
		Says: "a weld in a joint that another log says is not built or was split (several logs)", Check: CheckOf(endedWithWeld, endedSays),
	},
	{
		Slug: "operator-out-of-date", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: "qualification number and expiry stand in the record (ISO 12176-3 and others, from memory)",
		Says:  "the operator's qualification, where its end is known, was over on the day", Cause: byFacts, Check: CheckOf(operatorOutOfDate, operatorSays),
	},
	{
		Slug: "unit-out-of-date", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: "control unit calibrated every 12 months, from memory",
		Says:  "the control unit's calibration, where its date is known, was over 12 months old on the day", Cause: byFacts, Check: CheckOf(unitOutOfDate, unitSays),
	},
	{
		Slug: "qualification-unknown", Severity: Query, Scope: OnWeld, Cause: byFacts, Do: "see the card and say so with the acceptance; " + decideDo,
		Basis: "qualification number and expiry stand in the record (ISO 12176-3 and others, from memory)",
		Says:  "the end of the operator's qualification was asked for at the start of the shift and left blank", Check: CheckOf(qualificationUnknown, qualificationSays),
	},
	{
		Slug: "calibration-unknown", Severity: Query, Scope: OnWeld, Cause: byFacts, Do: "see the label of the unit and say so with the acceptance; " + decideDo,
		Basis: "control unit calibrated every 12 months, from memory",
		Says:  "the date of the control unit's calibration was asked for at the start of the shift and left blank", Check: CheckOf(calibrationUnknown, calibrationSays),
	},
	{
		Slug: "outside-shift", Severity: Query, Scope: OnWeld, Do: "ask when it was made and correct the time; else the foreman decides",
		Basis: ourChoice + ": an hour before and after the shift is slack",
		Says:  "a weld stated for a time more than an hour before or after the shifts of its day (a paper sheet is a shift of its own)", Check: CheckOf(outsideShift, hoursSay),
	},
	{
		Slug: "not-on-a-shift", Severity: Query, Scope: OnWeld, Do: "correct the name or the number, or ask who that is; else the foreman decides", Basis: ourChoice,
		Says: "an operator or a control unit that no shift of the site knows, where there was a shift", Cause: byFacts, Check: CheckOf(notOnAShift, strangerSays),
	},
	{
		Slug: "wet", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: "no water in the zone, steam makes voids (Rubeiz, PPI); shelter from rain (CJJ 63-2008)",
		Says:  "fused in rain or snow without a shelter", Cause: byFacts, Check: plain(wet, "%s was fused in rain or snow without a shelter"),
	},
	{
		Slug: "ambient-outside", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: "the fitting's own table; times are never extrapolated",
		Says:  "fused at a temperature outside the table's bands", Check: CheckOf(ambientOutside, ambientOutsideSays),
	},
	{
		Slug: "ambient-stale", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: ourChoice,
		Says: "fused by an ambient temperature read more than 30 min before", Check: CheckOf(ambientStale, staleSays),
	},
	{
		Slug: "ambient-leaping", Severity: Query, Scope: OnWeld, Do: "read it again in the shade; " + decideDo, Basis: ourChoice,
		Says: "an ambient temperature more than 5 °C from the one read on the site, or stated for it, within 30 min before; what was stated or corrected, of what was read after it too", Check: CheckOf(ambientLeaping, leapSays),
	},
	{
		Slug: "resistance-outside", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: "printed tolerance, else ISO 8085-3 and EN 1555-3, from memory",
		Says:  "resistance outside the fitting's window", Check: CheckOf(resistanceOutside, resistanceSays),
	},
	{
		Slug: "resistance-unlike-sisters", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: ourChoice + ": 3 spreads (1.4826 × median absolute deviation, or a step of the display) from the median of at least 5, and more than the 0.1 Ω that contacts may add (ISO 8085-3, EN 1555-3, from memory)",
		Says:  "resistance unlike the others of its batch", Check: CheckOf(unlikeSisters, sistersSay),
	},
	{
		Slug: "row-not-allowed", Severity: Query, Scope: OnWeld, Do: "compare bag and table; " + decideDo, Basis: ourChoice,
		Says: "fused by a table row not read back, or stopped by a bag", Cause: unreadRow, Check: CheckOf(rowNotAllowed, rowSays),
	},
	{
		Slug: "bag-not-read", Severity: Query, Scope: OnWeld, Do: "compare bag and table; " + decideDo,
		Basis: "time and cooling come from the fitting's own marking; the read-back of each batch is our choice",
		Says:  "a bag not read against the table, or read and found unlike it", Cause: unreadBag, Check: CheckOf(bagNotRead, bagSays),
	},
	{
		Slug: "run-unlike-set", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: rejectLists,
		Says: "seconds run, as the unit showed, unlike the seconds set", Check: CheckOf(runUnlike, runSays),
	},
	{
		Slug: "refused-late", Severity: Query, Scope: OnWeld,
		Do:    "ask what the display showed, and see the fitting's own instructions on fusing again; " + decideDo,
		Basis: ourChoice + "; after a stop in mid-fusion there is no second one (UK gas checklists DN.14A/DN.27)",
		Says:  "a start said to be refused more than 15 s after the current was on, or with no seconds run seen", Check: CheckOf(refusedLate, refusedSays),
	},
	{
		Slug: "fusions-overlap", Severity: Query, Scope: OnWeld, Do: "ask which of the two times or units is right and correct it; else the foreman decides",
		Basis: practice + ": a control unit feeds one fitting at a time",
		Says:  "two fusions at the same time on one unit (a stated time counts to the minute)", Check: CheckOf(overlapping, overlapSays),
	},
	{
		Slug: "stated-times-unlike", Severity: Query, Scope: OnWeld, Do: "ask which of the times is right and correct it; else the foreman decides",
		Basis: ourChoice + ": whole minutes are stated",
		Says:  "a fusion whose stated minutes differ by more than 2 min from the seconds its unit ran or was set to", Check: CheckOf(statedUnlike, statedSays),
	},
	{
		Slug: "leads-too-quick", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: ourChoice,
		Says: "a fusion started on a unit less than 20 s after the end of the one before", Check: CheckOf(tooQuick, quickSays),
	},
	{
		Slug: "nobody-saw", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: practice,
		Says: "a fusion whose end nobody saw, or that was not watched to its end", Check: CheckOf(nobodySaw, nobodySays),
	},
	{
		Slug: "indicator-part", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: ourChoice + ": the reject lists know an indicator that is down, none that is part up",
		Says:  "an indicator only part up", Check: indicator(logbook.Part),
	},
	{
		Slug: "not-seen", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: ourChoice + ": what nobody could look at is not known",
		Says:  "something that nobody could look at", Many: "welds with something that nobody could look at", Unsaid: true, Check: CheckOf(notSeen, notSeenSays),
	},
	{
		Slug: LookUnsaid, Severity: Query, Scope: OnWeld, Do: "look at it again, or correct it by the paper; " + decideDo,
		Basis: ourChoice + ": what nobody says is not known",
		Says:  "a look from paper that leaves unsaid something that is asked there, and no later look says", Many: "welds with something that a look from paper leaves unsaid", Unsaid: true, Check: CheckOf(lookUnsaid, gapsSay),
	},
	{
		Slug: "after-break", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: "wipe, fully dry before assembly; hand scraping not permitted by some clients (gas practice notes; Tauranga IDC CS-9.1.1); the question is our choice",
		Says:  "a joint that got wet or dirty in a break and was not put right, or was scraped otherwise than the site requires", Check: CheckOf(afterBreak, breakSays),
	},
	{
		Slug: "scraped-long-ago", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: "the longest time is the client's, as the plan states it; without one there is no such finding",
		Says:  "fused longer after it was scraped than the plan allows", Check: CheckOf(scrapedLongAgo, longAgoSays),
	},
	{
		Slug: "beside-hold", Severity: Query, Scope: OnWeld, Do: "look at the held joint again; " + decideDo,
		Basis: "UK gas checklist DN.14A: no movement during fusion and cooling",
		Says:  "a weld made on the pipe of a joint that was held, where it is not said that this stayed clamped and undisturbed", Check: CheckOf(besideHold, besideSays),
	},
	{
		Slug: "marks-moved", Severity: Query, Scope: OnWeld, Basis: rejectLists, Do: decideDo,
		Says: "insertion marks moved", Check: seen("insertion marks moved", func(l logbook.Look) bool { return l.Marks == logbook.MarksMoved }),
	},
	{
		Slug: "not-straight", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: rejectLists + "; the limit of 2° (IKV Aachen on DVS 2202, quality group II) was seen for butt and socket welds only, so none is set",
		Says:  "pipe and fitting not in line", Check: seen("not straight", func(l logbook.Look) bool { return l.Straight == logbook.No }),
	},
	{
		Slug: "moves", Severity: Fail, Scope: OnWeld, Do: cutOutDo,
		Basis: practice + "; that it is a fail is our choice",
		Says:  "a joint that is loose when felt", Check: seen("loose when felt", func(l logbook.Look) bool { return l.Felt == logbook.FeltMoves }),
	},
	{
		Slug: "moved-unsure", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: "UK gas checklist DN.14A: no movement during fusion and cooling; the last minute is our choice",
		Says:  "a joint moved in the last minute of its cooling time or after it, nobody is sure which", Check: CheckOf(movedUnsure, lineSays),
	},
	{
		Slug: "doubtful-figure", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: ourChoice,
		Says: "a figure that was doubted when it was typed, and typed again", Check: CheckOf(doubtful, doubtfulSays),
	},
	{
		Slug: "indicators-unlike", Severity: Query, Scope: OnWeld, Do: "look again: " + decideDo, Basis: ourChoice,
		Says: "a fitting said to have no indicators where its table has some", Check: CheckOf(indicatorsUnlike, countSays),
	},
	{
		Slug: "operator-on-two-units", Severity: Query, Scope: OnWeld, Do: "correct the operator of one, else the foreman decides", Basis: ourChoice,
		Says: "two fusions started by one operator on two units within a minute", Check: CheckOf(twoHands, handsSay),
	},
	{
		Slug: "operator-in-two-places", Severity: Query, Scope: OnWeld, Do: "correct the operator or the time of one, else the foreman decides",
		Basis: ourChoice + ": a person sees one fusion to its end; seen from the currents alone",
		Says:  "two fusions of one operator in two chambers at the same time (a stated time counts to the minute)", Check: CheckOf(twoPlaces, placesSay),
	},
	{
		Slug: "clock-doubted", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: ourChoice,
		Says: "a gap in a hold that a person accepted by the wall clock", Check: CheckOf(clockDoubted, clockSays),
	},
	{
		Slug: HoldByWord, Severity: Query, Scope: OnWeld, Do: "somebody who neither made it nor stated this looks at it and accepts this, or it is cut out", Basis: ourChoice,
		Says: "a hold that counts what a person stated by a watch or by the ink on the pipe", Check: CheckOf(heldByWord, wordSays),
	},
	{
		Slug: "hold-across-restart", Severity: Note, Scope: OnWeld, Basis: ourChoice,
		Do:   "nothing: the longer remainder was counted",
		Says: "a hold that ran across a restart of the machine, or on another one", Check: CheckOf(heldAcrossRestart, lineSays),
	},
	{
		Slug: "entered-later", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: ourChoice,
		Says: "a weld entered from memory", Cause: afterwards, Many: "welds entered from memory that leave something unsaid", Unsaid: true, Check: CheckOf(enteredLater, enteredSays),
	},
	{
		Slug: Transcribed, Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: ourChoice + "; who typed it does not pass it: nobody passes his own work (" + practice + ")",
		Says:  "a weld taken in from a paper sheet", Cause: afterwards, Many: "welds taken in from paper that leave something unsaid", Unsaid: true, Check: CheckOf(transcribed, transcribedSays),
	},
	{
		Slug: WelderUnnamed, Severity: Query, Scope: OnWeld, Do: "ask who welded, and correct that; else somebody who stands on the list of people or on another shift accepts this, or it is cut out",
		Basis: practice + ": nobody passes his own work; of whom nobody knows it may be anybody's",
		Says:  "a weld of which nobody is named as its welder", Unsaid: true, Check: CheckOf(welderUnnamed, unnamedSays),
	},
	{
		Slug: "unsaid-on-paper", Severity: Query, Scope: OnWeld, Do: "ask who welded, and correct what is known; " + decideDo,
		Basis: ourChoice + ": what nobody says is not known",
		Says:  "a weld from paper of which nobody said how it was scraped, what its pipe prints, or whether its unit corrects for temperature", Many: "welds from paper that leave unsaid how they were scraped, the print or the unit", Unsaid: true, Check: CheckOf(paperUnsaid, paperUnsaidSays),
	},
	{
		Slug: RemarkToRead, Severity: Query, Scope: OnWeld, Do: "read it; if it tells of a fault, order it cut out or ask for another look, else accept it by name with a reason",
		Basis: ourChoice + ": no rule reads a sentence",
		Says:  "a remark on a paper sheet, which a second person reads", Check: CheckOf(remarks, remarksSay),
	},
	{
		Slug: "welded-before-cut-out", Severity: Query, Scope: OnWeld, Do: "ask when the one was cut out and the other made, and correct the time; else the foreman decides",
		Basis: "two fittings cannot stand in one place; that a cut-out may have been told late is our choice",
		Says:  "a weld stated for a time at which the one before it still stood in its joint, as far as that is recorded", Check: CheckOf(beforeCutOut, beforeCutSays),
	},
	{
		Slug: "made-before-opening", Severity: Query, Scope: OnWeld, Cause: byFacts, Do: "ask whether the date is right; " + decideDo, Basis: ourChoice,
		Says: "a weld stated for a day before the site was opened in the log", Check: CheckOf(weldBeforeOpening, weldOpeningSays),
	},
	{
		Slug: "cut-ordered", Severity: Fail, Scope: OnWeld, Do: cutOutDo, Basis: practice + ": the foreman decides",
		Says: "a weld that a named person ordered cut out", Check: CheckOf(cutOrdered, orderedSays),
	},
	{
		Slug: "corrected-away-fail", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: ourChoice,
		Says: "a weld that failed as it was recorded and no longer does, a value being corrected", Check: CheckOf(correctedAwayFail, awaySays),
	},
	{
		Slug: CorrectedOwn, Severity: Query, Scope: OnWeld, Do: "somebody who neither made nor corrected it looks at it and accepts this, or it is cut out",
		Basis: practice + ": nobody passes his own work",
		Says:  "a weld whose operator corrected a query of it away, or himself out of it", Check: CheckOf(correctedOwn, correctedOwnSays),
	},
	{
		Slug: "corrected-after-review", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: ourChoice,
		Says: "a value corrected after the weld was reviewed or its day signed", Check: CheckOf(correctedAfterReview, afterSays),
	},
	{
		Slug: "day-changed-after-signing", Severity: Query, Scope: OnWeld, Do: "look at it and sign the day again, or accept it by name with a reason", Basis: ourChoice,
		Says: "a weld that was added after the day was signed", Cause: byFacts, Check: CheckOf(changedAfterSigning, daySays),
	},
	{
		Slug: "cut-order-withdrawn", Severity: Note, Scope: OnWeld, Do: "nothing: order and withdrawal stay in the log", Basis: ourChoice,
		Says: "a cut-out that was ordered and withdrawn", Check: CheckOf(cutWithdrawn, withdrawnSays),
	},
	{
		Slug: OrderOwn, Severity: Query, Scope: OnWeld, Do: "somebody else than its operator looks at it and accepts this, or it is cut out",
		Basis: practice + ": nobody passes his own work",
		Says:  "an order to cut a weld out that its operator took back", Check: CheckOf(orderOwn, orderOwnSays),
	},
	{
		Slug: "corrected", Severity: Note, Scope: OnWeld, Do: "nothing: both values stay in the log", Basis: ourChoice,
		Says: "a recorded value that was corrected", Check: CheckOf(corrected, correctedSays),
	},
	{
		Slug: "weld-moved", Severity: Note, Scope: OnWeld, Do: "look that the ink on the pipe says the same", Basis: ourChoice,
		Says: "a weld logged at one joint and made at another", Check: CheckOf(weldMoved, movedSays),
	},
	{
		Slug: "batch-missing", Severity: Note, Scope: OnWeld, Cause: byFacts, Do: "look for the bag or the print on the pipe",
		Basis: "batches of pipe and fitting are asked for in a record (WIS 4-32-08 and others, which of them from memory); severity is our choice",
		Says:  "no batch recorded for fitting or pipe", Check: CheckOf(batchMissing, batchSays),
	},
	{
		Slug: "batch-shortened", Severity: Query, Scope: OnWeld, Basis: ourChoice + ": another batch shortens to the same",
		Do:   "read the bag or the print on the pipe and correct the batch; else accept it by name with a reason",
		Says: "a batch that is a long number as a spreadsheet shortens it", Check: CheckOf(batchShortened, shortenedSays),
	},
	{
		Slug: "walk-open", Severity: Query, Scope: OnWeld, Work: true, Do: "resume the walk, or give the weld up", Basis: practice,
		Says: "a weld begun and not finished", Check: CheckOf(walkOpen, walkSays),
	},
	{
		Slug: "end-unsaid", Severity: Query, Scope: OnWeld, Work: true, Do: "say how it ended", Basis: practice,
		Says: "a fusion begun whose end is not recorded", Check: plain(endUnsaid, "%s: the end of its fusion is not recorded"),
	},
	{
		Slug: "zone-not-fused", Severity: Query, Scope: OnWeld, Work: true, Do: "fuse it, or cut the fitting out", Basis: practice,
		Says: "a fitting of several zones of which one was fused and another was not", Check: CheckOf(zoneOpen, zoneSays),
	},
	{
		Slug: "unread", Severity: Query, Scope: OnWeld, Work: true, Do: "look at the indicators", Basis: practice,
		Says: "a fused weld whose indicators were not read", Many: "welds whose indicators were not read", Check: plain(unread, "%s: its indicators were not read"),
	},
	{
		Slug: Unreleased, Severity: Query, Scope: OnWeld, Work: true, Do: "when the hold is over: feel, look, release", Basis: practice,
		Says: "a hold that was not ended by a release", Many: "holds that were not ended by a release", Check: CheckOf(unreleased, unreleasedSays),
	},
	{
		Slug: "round-not-done", Severity: Query, Scope: OnWeld, Work: true, Do: "feel it and look at its indicators once more", Basis: practice,
		Says: "a weld of a closed shift that the end-of-shift check did not reach", Many: "welds that the end-of-shift check did not reach", Check: plain(roundNotDone, "%s: the end-of-shift check did not reach it"),
	},
	{
		Slug: "recheck-asked", Severity: Query, Scope: OnWeld, Work: true, Do: "somebody else than its welder looks at it again", Basis: practice + ": the foreman decides; nobody passes his own work",
		Says: "another look that was asked for and not made", Check: CheckOf(recheckAsked, recheckSays),
	},
	{
		Slug: SelfAccepted, Severity: Query, Scope: OnWeld, Do: "somebody else than its operator looks at it and accepts this, or it is cut out",
		Basis: practice + ": nobody passes his own work",
		Says:  "a query that was accepted by the operator who made the weld", Cause: ownFormality, Check: CheckOf(selfAccepted, ownSays),
	},
	{
		Slug: CorrectorAccepted, Severity: Query, Scope: OnWeld, Do: "somebody who neither made nor corrected it looks at it and accepts this, or it is cut out",
		Basis: practice + ": nobody passes his own work",
		Says:  "a fail that was corrected away, and accepted by who corrected it", Check: CheckOf(correctorAccepted, correctorSays),
	},
	{
		Slug: OwnWelder, Severity: Note, Scope: OnWeld, Do: "nothing: it is counted apart from what another accepted", Basis: ourChoice,
		Says: "a query accepted by the weld's own operator, who states to work alone", Check: CheckOf(ownWelderOnly, aloneSays),
	},
	{
		Slug: "missing-weld", Severity: Query, Scope: OnJoint, Work: true, Do: "weld it, or say why it is not being built", Basis: practice,
		Says: "a joint in which no weld was ever made", Many: "joints in which no weld stands", Check: plain(missingWeld, "joint %s: no weld stands in it"),
	},
	{
		Slug: "cut-not-replaced", Severity: Query, Scope: OnJoint, Work: true, Do: "weld it again with a new fitting, with a make-up piece, or say why it is not being built",
		Basis: practice, Says: "a joint whose weld was cut out and in which nothing stands", Check: CheckOf(cutNotReplaced, cutSays),
	},
	{
		Slug: LegStruck, Severity: Query, Scope: OnJoint, Basis: practice + ": water goes down one leg and up the other",
		Do:   "take the joint up again and weld it, cut the other leg's weld out, or accept by name how the circuit is closed",
		Says: "a joint that is not being built, while a weld stands in the other leg of its circuit", Check: CheckOf(legStruck, struckSays),
	},
	{
		Slug: "small-header", Severity: Query, Scope: OnJoint,
		Do:    "the foreman decides: accept by name with a reason, or have the header made larger",
		Basis: practice + ": chamber stubs are commonly 63 mm up to six circuits and larger above, the designer decides; to ask it of the header is our choice",
		Says:  "a header of 63 mm or smaller in a chamber with more than six circuits", Check: CheckOf(manyOnSmall, manySays),
	},
	{
		Slug: failStands, Severity: Fail, Scope: OnJoint, Work: true, Do: cutOutDo,
		Basis: "UK gas checklists DN.14A/DN.27, for a stopped fusion; for other fails " + ourChoice,
		Says:  "a failed weld that still stands in its joint", Check: CheckOf(failNotCut, failSays),
	},
	{
		Slug: coveredBefore, Severity: Query, Scope: OnJoint, Do: "the foreman decides: accept by name with a reason, or dig it up",
		Basis: "see every weld, test by water before backfill (Northwest geothermal standards 1.8.4; UFGS 15741N 3.7)",
		Says:  "a joint covered with ground before its weld was settled, and not dug up since", Many: "joints that were covered before they were settled", Check: CheckOf(coveredEarly, coverSays),
	},
	{
		Slug: "pressure-lost", Severity: Query, Scope: OnJoint, Work: true, Do: "find the leak, repair it and say so", Basis: practice,
		Says: "pressure lost on a joint or its circuit and not repaired", Check: CheckOf(pressureLost, lineSays),
	},
	{
		Slug: "site-pressure-lost", Severity: Query, Scope: OnSite, Work: true, Do: "find the leak, repair it and say so", Basis: practice,
		Says: "pressure lost on a site, no circuit named, and not repaired", Check: CheckOf(sitePressureLost, siteLossSays),
	},
	{
		Slug: RepairUnseen, Severity: Query, Scope: OnEntry, Do: "somebody who neither welded there nor said that it is repaired looks at it under pressure and accepts this",
		Basis: practice + ": nobody passes his own work",
		Says:  "a loss of pressure that was closed by the word of one person", Check: CheckOf(repairUnseen, repairSays),
	},
	{
		Slug: CoverTakenBack, Severity: Query, Scope: OnEntry, Do: "somebody who neither took it back nor welded there looks whether it is covered, and accepts this",
		Basis: ourChoice + "; nobody passes his own work (" + practice + ")",
		Says:  "a cover over joints that were not settled, which was taken back", Check: CheckOf(coverTakenBack, coverBackSays),
	},
	{
		Slug: DugUpUnseen, Severity: Query, Scope: OnEntry, Do: "somebody who neither covered it nor welded there looks at the joints, and accepts this",
		Basis: ourChoice + "; nobody passes his own work (" + practice + ")",
		Says:  "a cover over joints that were not settled, which was dug up by the word of who covered it or welded there", Check: CheckOf(dugUpUnseen, dugUpSays),
	},
	{
		Slug: LeaksUnder, Severity: Fail, Scope: OnWeld, Basis: practice, Do: cutOutDo,
		Says: "a weld that leaked when it was looked at under pressure", Check: CheckOf(leaksUnder, leaksSays),
	},
	{
		Slug: ClosingUnseen, Severity: Query, Scope: OnWeld, Work: true, Do: "somebody else than its welder looks at it under pressure, with a witness",
		Basis: practice + ": a closing weld is in no test of its section", Says: "a closing weld at which nobody looked under pressure", Check: CheckOf(closingUnseen, closingSays),
	},
	{
		Slug: UntestedSince, Severity: Query, Scope: OnJoint, Work: true, Do: "test the section again, or name it as the closing weld and look at it under pressure",
		Basis: "see every weld, test by water before backfill (Northwest geothermal standards 1.8.4; UFGS 15741N 3.7)",
		Says:  "a joint that changed after its section was tested", Many: "joints that changed after their section was tested", Check: CheckOf(untestedSince, sinceSays),
	},
	{
		Slug: TestMissing, Severity: Query, Scope: OnSite, Work: true, Do: "test what is named, before ground lies on it",
		Basis: "what the plan requires; see every weld, test by water before backfill (Northwest geothermal standards 1.8.4; UFGS 15741N 3.7)",
		Says:  "joints that no pressure test holds where the plan wants one before cover", Check: CheckOf(testMissing, missingSays),
	},
	{
		Slug: PressureFailed, Severity: Fail, Scope: OnEntry, Work: true, Do: "find out why, put it right and test the section again", Basis: practice,
		Says: "a pressure test whose pressure fell further than its method allows, or under which a leak was seen", Check: CheckOf(pressureFailed, comeSays),
	},
	{
		Slug: PressureOpen, Severity: Query, Scope: OnEntry, Work: true, Do: "say how it ended, or take it back", Basis: practice,
		Says: "a pressure test that was begun and whose end is not recorded", Check: CheckOf(pressureOpen, testOpenSays),
	},
	{
		Slug: PressureEarly, Severity: Query, Scope: OnEntry, Do: "test the section again, or accept it by name with a reason",
		Basis: "a pressure test starts only after the longest pressure wait printed on any fitting in the section (the fittings' own tables)",
		Says:  "a section put under pressure before the printed pressure wait of each of its welds was over", Check: CheckOf(pressureEarly, earlySays),
	},
	{
		Slug: PressureUnsettled, Severity: Query, Scope: OnEntry, Do: "test the section again once they are, or accept it by name with a reason", Basis: practice,
		Says: "a section put under pressure while a joint of it was not accepted", Check: CheckOf(pressureUnsettled, unsettledSays),
	},
	{
		Slug: PressureAbove, Severity: Query, Scope: OnEntry, Do: "have the part looked at, then accept it by name with a reason", Basis: practice,
		Says: "a test pressure above what the weakest part takes, the height of the gauge counted in", Check: CheckOf(pressureAbove, aboveSays),
	},
	{
		Slug: PressureGauge, Severity: Query, Scope: OnEntry, Do: "test the section again with a gauge that shows it, or accept it by name with a reason", Basis: practice,
		Says: "a pressure test at more than its gauge can show", Check: CheckOf(pressureGauge, gaugeSays),
	},
	{
		Slug: PressureOpenTo, Severity: Query, Scope: OnEntry, Do: "have it looked at, then accept it by name with a reason", Basis: practice,
		Says: "a thing that must not get the test pressure and was open to it, or caps that were not rated or not held", Check: CheckOf(pressureOpenTo, openToSays),
	},
	{
		Slug: PressureUnsaid, Severity: Query, Scope: OnEntry, Unsaid: true, Do: "ask who made the test, then accept it by name with a reason, or test again", Basis: ourChoice,
		Says: "a pressure test of which rating of the weakest part, gauge or its height are not known", Check: CheckOf(pressureUnsaid, unknownSays),
	},
	{
		Slug: PressureFixed, Severity: Query, Scope: OnEntry, Do: "ask who read the gauge, then accept it by name with a reason", Basis: ourChoice,
		Says: "a reading of a pressure test that was put right afterwards", Check: CheckOf(pressureFixed, fixedSays),
	},
	{
		Slug: PressureBack, Severity: Query, Scope: OnEntry, Do: "somebody who neither made it nor took it back asks what it was, and accepts this",
		Basis: ourChoice + "; nobody passes his own work (" + practice + ")",
		Says:  "a pressure test in which the gauge was read, and which was taken back", Check: CheckOf(pressureBack, backSays),
	},
	{
		Slug: PressureOverlap, Severity: Query, Scope: OnEntry, Do: "ask who made them what is right, then take one back, or accept it by name with a reason",
		Basis: ourChoice + ": a section is under one test at a time", Says: "a pressure test that was begun while another of the same section ran", Check: CheckOf(pressureOverlap, testsOverlapSays),
	},
	{
		Slug: PressureUndecided, Severity: Query, Scope: OnEntry, Do: "test the section again as it says, or accept by name with a reason that nothing was decided",
		Basis: ourChoice + ": the error of the gauge is carried through", Says: "a pressure test from which nothing can be decided", Check: CheckOf(pressureUndecided, comeSays),
	},
	{
		Slug: FlowCrossed, Severity: Fail, Scope: OnJoint, Work: true, Do: "look at which port each leg lies, put it right, then open the circuit alone again",
		Basis: practice + ": opened alone, both legs of all others shut, a circuit shows flow in its own gauge alone",
		Says:  "flow in another circuit while one was open alone: legs are crossed", Many: "joints of circuits whose legs are crossed", Check: CheckOf(flowCrossed, crossedSays),
	},
	{
		Slug: FlowUndecided, Severity: Query, Scope: OnEntry, Do: "look again as it says, or accept by name with a reason that nothing was decided",
		Basis: practice + ": with valves on one rail only water may come back by another leg", Says: "a flow check from which nothing can be decided", Check: CheckOf(flowIs(ahead.FlowUnknown), undecidedFlowSays),
	},
	{
		Slug: FlowNone, Severity: Query, Scope: OnEntry, Do: "bleed it, see that its gauge moves, and look again; or accept it by name with a reason", Basis: practice,
		Says: "a circuit opened alone without flow in any gauge", Check: CheckOf(flowIs(ahead.NoFlow), noFlowSays),
	},
	{
		Slug: FlowBack, Severity: Query, Scope: OnEntry, Do: "somebody who neither saw it nor took it back opens the circuit alone and looks, and accepts this",
		Basis: ourChoice + "; nobody passes his own work (" + practice + ")",
		Says:  "crossed legs that were seen by their flow, and taken back", Check: CheckOf(flowBack, flowBackSays),
	},
	{
		Slug: FlowAtEnd, Severity: Note, Scope: OnEntry, Do: "read it with a gauge that shows more, where the figure matters", Basis: ourChoice,
		Says: "a flow read at the end of its gauge", Check: CheckOf(flowAtEnd, atEndSays),
	},
	{
		Slug: PurgeLacking, Severity: Query, Scope: OnEntry, Do: "purge it again, or accept it by name with a reason",
		Basis: "UFGS 15741N: 0.6 m/s or more in every section, on for 15 minutes after the last bubble; heat pump bypassed, strainer in, direction turned once: " + practice,
		Says:  "a purge with less flow or time than that, or of which it is not known", Check: CheckOf(purgeLacking, purgeLackSays),
	},
	{
		Slug: FluidLacking, Severity: Query, Scope: OnEntry, Do: "say what is in it now, with its freezing point read by an instrument meant for that fluid; or accept it by name with a reason", Basis: practice + "; a tenth of the litres and of the share: our choice",
		Says: "a fluid whose freezing point was not read by an instrument meant for it, that does not fill its pipe, whose share is not the one that its litres give, or whose pipe was purged since", Check: CheckOf(fluidLacking, fluidLackSays),
	},
	{
		Slug: GroundToLook, Severity: Query, Scope: OnPart, Work: true, Do: "look while it can be seen, and say what was seen; a photo is enclosed for the section",
		Basis: "what the plan requires; " + practice, Says: "what the plan wants looked at before a section is welded or covered, and nobody did yet", Many: "sections with something to be looked at before welding or cover",
		Check: CheckOf(groundToLook, toLookSays),
	},
	{
		Slug: GroundWelded, Severity: Query, Scope: OnPart, Do: "where it was looked at before, enter it with its time; else accept it by name with a reason",
		Basis: "what the plan requires; " + practice, Says: "a chamber in which welding began before what the plan wants looked at first was recorded", Check: CheckOf(groundWelded, groundWeldedSays),
	},
	{
		Slug: GroundLacking, Severity: Query, Scope: OnPart, Do: "put it right and look again; what was looked at before the cover is entered with its time; else dig it up, or accept it by name with a reason",
		Basis: "what the plan requires; " + practice, Says: "something seen before the cover that is not as it should be, or a section covered before what the plan wants looked at was recorded",
		Check: CheckOf(groundLacking, groundLackSays),
	},
	{
		Slug: GroundBack, Severity: Query, Scope: OnEntry, Do: "somebody who neither saw it nor took it back looks, and accepts this",
		Basis: ourChoice + "; nobody passes his own work (" + practice + ")",
		Says:  "something that was seen not to be as it should, and taken back", Check: CheckOf(groundBack, groundBackSays),
	},
	{
		Slug: clockSet, Severity: Query, Scope: OnEntry, Do: "ask who set the clock, and read what was accepted and signed by it; then accept it by name with a reason",
		Basis: ourChoice + ": more than 2 min off the boot clock, or back along the log",
		Says:  "a wall clock that was set between two entries of the log", Check: CheckOf(clockJumped, jumpSays),
	},
	{
		Slug: "answered-out-of-time", Severity: Note, Scope: OnEntry, Do: "read it as younger than the time it bears: the order of the log counts", Basis: ourChoice,
		Says: "an acceptance or a signature that bears a time before entries that precede it", Check: CheckOf(answeredOutOfTime, outOfTimeSays),
	},
	{
		Slug: toldBefore, Severity: Query, Scope: OnEntry, Do: "ask whether the date is right, then accept it by name with a reason", Basis: ourChoice,
		Says: "a cover or an event stated for a day before the site was opened in the log", Check: CheckOf(toldBeforeOpening, toldOpeningSays),
	},
	{
		Slug: lostBefore, Severity: Query, Scope: OnEntry, Do: "ask which day and which part it was and say it anew, then accept this by name with a reason",
		Basis: ourChoice + ": what is not welded holds no pressure",
		Says:  "pressure lost on a day before anything was welded of the part that lost it", Check: CheckOf(lostUnwelded, unweldedSays),
	},
	{
		Slug: ToldApart, Severity: Query, Scope: OnSite, Do: "somebody who knows both says so: accept by name with a reason",
		Basis: practice + ": nobody passes his own work",
		Says:  "near names that one of the two told apart himself", Check: CheckOf(toldApart, toldSays),
	},
	{
		Slug: "clock-drifted", Severity: Note, Scope: OnSite, Do: "look at the clock of the machine; holds go by its boot clock", Basis: ourChoice,
		Says: "a wall clock that was set or drifted while the log was in use", Check: CheckOf(clockDrifted, driftSays),
	},
	{
		Slug: newerSite, Severity: Query, Scope: OnSite, Do: newerDo, Basis: ourChoice + ": what nobody here can read may be a fault",
		Says: "an entry that this coolhold cannot read", Check: CheckOf(unreadOfSite, unreadSays),
	},
	{
		Slug: newerEntry, Severity: Query, Scope: OnWeld, Do: newerDo, Basis: ourChoice + ": what nobody here can read may be a fault",
		Says: "an entry on a weld, on its joint or on the whole site that this coolhold cannot read", Many: "welds of which an entry is not read here, written by a newer coolhold",
		Check: CheckOf(unreadOfWeld, unreadSays),
	},
	{
		Slug: "shift-open", Severity: Query, Scope: OnSite, Work: true, Do: "make the end-of-shift check and close the shift", Basis: practice,
		Says: "a shift left open past its day", Check: CheckOf(shiftOpen, shiftSays),
	},
}
