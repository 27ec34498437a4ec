package logbook

// The reasons that are usually given for what somebody says, so that none need be typed
// in gloves. What is chosen is stored in these words; each says what was seen or done,
// so that others understand it later. None is the usual one: a reason is chosen or
// typed, never taken for granted. The lists are common practice, no source.
var (
	WhyCut = []string{
		"its fusion stopped before its end",
		"it was moved or unclamped before its hold was over",
		"an indicator stayed flat",
		"melt or wire is to be seen outside the fitting",
		"the pipe is not in to its mark, or not straight",
		"wrong fitting, wrong pipe or wrong port",
		"it leaked under pressure",
		"the foreman ordered it",
	}
	WhyGivenUp = []string{
		"another joint is taken first",
		"the wrong joint was chosen",
		"the fitting was dropped, wet or dirty",
		"the pipe end cannot be prepared: too thin, oval or damaged",
		"the unit or its supply failed",
		"rain or wind, and no shelter",
	}
	WhyNotBuilt = []string{
		"the plan was changed by who ordered it",
		"one length of pipe runs through: no joint is needed",
		"it came fused from a works",
		"it stands in the plan twice",
	}
	WhyBuilt = []string{
		"it was taken off the list by mistake",
		"the plan was changed back by who ordered it",
		"the pipe was cut there since",
	}
	WhyMakeUp = []string{
		"the stub is too short to be prepared once more",
		"a length was cut out with the weld",
		"the pipe does not reach its port",
	}
	WhyAdded = []string{
		"the pipe was cut or damaged there",
		"the pipe is laid another way than planned",
		"a length of pipe was too short",
		"who ordered the work wants it",
	}
	WhyAccepted = []string{
		"I looked at the joint itself and saw no fault",
		"I was there when it was done",
		"I asked who made it, and what was done is known",
		"I read the maker's instructions: they allow it",
		"agreed with the client, who was told of it",
	}
	WhyCutOrdered = []string{
		"a fault is to be seen on it",
		"its record shows a fault",
		"how it was made is not known",
		"it leaked under pressure",
	}
	WhyRecheck = []string{
		"its indicators: what was seen is not alike",
		"its line and its marks: it may have been moved",
		"melt and wire at both ends of the fitting",
		"all of it: only its own welder looked",
	}
	WhatPhotosShow = []string{
		"the indicators",
		"the joint in its clamp",
		"the pipes as they lie",
		"the gauge",
	}
	WhyTakenBack = []string{
		"it was said of the wrong one",
		"it was looked at again, and is otherwise",
		"what it rested on was wrong",
	}
	WhyCoverTakenBack = []string{
		"it was said of the wrong part",
		"only some of it was covered",
		"it was to be covered, and was not",
	}
	WhyClockTrusted = []string{
		"a telephone shows the same time",
		"a watch shows the same time",
		"another laptop shows the same time",
	}
	WhyCorrected = []string{
		"mistyped: the display, the bag or the pipe is read again",
		"chosen by mistake: who did it says how it was",
		"the paper of that day says it otherwise",
	}
	WhyLate = []string{
		"the laptop's battery was flat",
		"the laptop was at another place",
		"two joints were fused at once",
		"rain: the laptop was put away",
	}
	WhyNotDone = []string{
		"no tool for it was there",
		"no room to get at it",
		"who welded did not know of it",
		"nobody remembers",
	}
	WhyOtherCode = []string{
		"taught wrongly the first time",
		"the maker gave the code to another fitting",
	}
)
