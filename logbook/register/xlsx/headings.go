package xlsx

import "coolhold/logbook/register"

// plain is what is meant by columns whose heading does not say it.
var plain = map[string]string{
	"state":      "stands, cut out or given up; without a weld where none is in the joint",
	"port":       "the number of the port as the plan has it",
	"verdict":    "see the sheet Summary: clear means only that no fault is recorded",
	"findings":   "the names of the rules that found something; the sheet Findings has them in full",
	"shift":      "the shift that it was entered in, by the day on which that began: where no new one began, that of a day before; empty where none is named, as of most from paper: filter by the day of the weld",
	"hold_until": "the end of the cooling, as recorded, also of a weld that was cut out before",
	"cut_out_at": "when it was cut out; not stated where only that it was cut out was entered",
	"band":       "the row of temperatures in the fitting's table that was taken",
	"disturbed":  "how long before the end of its cooling it was moved; empty: nothing is recorded of that",
	"indicators": "as they were seen at each look, the last behind",
	"covered":    "by whom, when, and whether it was settled then; empty of a weld that is not in its joint",
	"came_by":    "which values were scanned, typed, offered, computed or entered later",
	"entered":    "in the walk: as it was made; else later or from paper",
	"read_back":  "as the sheet has it, of a weld from paper; bags that were read on the laptop count without it",
	"pipe_mark":  "as the sheet has it, of a weld from paper",
	"signed":     "as the sheet has it, of a weld from paper; days that were signed in the log are in the sheet Site",
	"stood_min":  "how long it stood prepared before its current",
}

// beside are the columns that only the workbook has, with what they hold and mean.
var beside = [][3]string{
	{"findings still open", "number", "those of the weld, and of its joint while it stands there"},
	{"who must act", "text", "on what is still open; always in the same order: crew, foreman, somebody else, office"},
	{"day of the weld", "date", "the day of its fusion, else of its beginning: also of one from paper, given up or cut out"},
	{"or cut out", "text", "of a weld that was cut out: nothing waits for it any more"},
	{"entered on, where later", "date and time", "when a weld came into the log that was not entered as it was made"},
	{"entered by, where later", "text", "who entered it then; welded it need he not have"},
	{"covered on", "date, or date and time", "as stated, else when it was said; a text where it was dug up since"},
	{"dug up on", "date", "of a joint that was covered before: the last time"},
	{"may be covered", "text", "the part of the site in which the joint lies, by the record alone: see the sheet Ground. The site's own rules and whoever answers for the ground go before it"},
	{"what is missing before ground", "text", "at the joint, in the words of the sheet Findings, else that something is elsewhere in its part"},
	{"last ordered to be cut out on", "date and time", "of the orders that stand"},
	{"another look asked for on", "date and time", "the last time"},
	{"pressure tested on", "date and time", "the test that holds its joint"},
	{"after the seal", "text", "whether anything was entered of it after the log was sealed"},
}

// ofBatches are the columns of the batches, with what they hold and mean.
var ofBatches = [][3]string{
	{"batch of", "text", "the fitting, the coil or length of pipe, or the stub; behind the coils stand the metres of the pipes in the plan that are of no one coil, and those of all"},
	{"batch", "text", "as it is written first; one batch written in several ways is one row"},
	{"fitting or size", "text", "batches of fittings are told apart by fitting too"},
	{"welds", "number", "fused welds that name it, cut out or not"},
	{"in their joints", "number", "joints in which one of them stands"},
	{"failed, cut out or not", "number", "of its welds, those that the record shows as fail, whatever became of them"},
	{"failed and still in its joint", "number", "of those, the ones that are not cut out: together they are \"of these failed\" in the sheet Work by chamber"},
	{"cut out", "number", "of its welds, failed or not"},
	{"given up or being made", "number", "welds that were begun with it and never fused"},
	{"first day", "date", "of its welds"},
	{"last day", "date", "of its welds"},
	{"days", "text", "each day on which it was welded"},
	{"bag read against the table", "number", "of its welds, those of which the bag was read and agreed; of fittings only"},
	{"bag not read, or unlike the table", "text", "the other welds; of fittings only"},
	{"length in the plan, m", "number", "of the pipes of which all welds in place name this coil: nobody recorded how much was laid of it. With the rows of pipes behind the coils it is the sum of the sheet Pipes"},
	{"which pipes, where not of this coil alone", "text", "pipes on which another coil, or none, is named too, which are counted in the row of pipes of several; what welds named that are cut out or given up; and pipes of which the plan has no length"},
	{"which joints", "text", "those in which one of its welds stands"},
	{"which welds failed, cut out or not", "text", ""},
	{"named before a correction by", "text", "welds that name another batch since they were corrected"},
	{"also written", "text", "the other ways in which it is written"},
}

// ofGround are the same of the parts of the site.
var ofGround = [][3]string{
	{"part of the site", "text", "as it is covered: each in one go"},
	{"may be covered", "text", "by the record alone: the site's own rules and whoever answers for the ground go before it. In part: some of its joints were dug up since"},
	{"what is missing in it", "text", "each joint with how it stands, then what is of the part as a whole; the sheet Register has all of a joint"},
	{"covered on", "date, or date and time", "as stated, else when it was said; also where it was dug up since"},
	{"covered by", "text", "who said that it was covered"},
	{"not settled when it was covered", "text", "joints; none: all were"},
	{"dug up since, on", "date", "the last time, all of it or a part"},
	{"pressure tests", "text", "what is recorded of its joints"},
}

// ofOthers are columns of other sheets whose heading does not say what they hold.
var ofOthers = []struct {
	sheet string
	heads [][3]string
}{
	{Work, [][3]string{{"of these failed", "number", "joints in which a weld stands that the record shows as fail; a weld that was cut out is in none"}}},
	{Pipes, [][3]string{
		{"length, m", "number", "as in the plan; behind the sum it stands for each size"},
		{"neither clear nor accepted", "text", "joints that keep it from its pressure test, those without a weld too"},
		{"no pressure before", "date and time, or text", "the end of the longest wait that the tables print for a fitting of it: no pressure, of a test or of anything else, before that. A time stands there only where every joint is clear or accepted; else what is wanting. It is no leave to test"},
		{"waits of the fittings", "text", "where something else is wanting: until when the waits of what is welded run or ran; and fittings for which no wait is printed"},
	}},
	{Batches, ofBatches}, {Ground, ofGround},
	{Corrections, [][3]string{
		{"removed a fail or finding", "text", "what the rules had found before it and do not find since"},
		{"made a fail or finding", "text", "what the rules find since it and did not find before, the fails first"},
	}},
	{Acceptances, [][3]string{
		{"what was accepted", "text", "as it was found then; all of the site stand here, whatever is listed"},
		{"stands", "text", "no: it settles nothing any more"},
		{"why it stands no more", "text", "what became of it; what it was given on may be open again"},
		{"since", "date and time", "when it was taken back, or the correction that changed what it was given on; empty where no one entry did that"},
		{"through", "text", "what was entered then"},
	}},
	{Days, [][3]string{
		{"welded", "number", "fused, cut out since or not; the sums of a welder are in the sheet People"},
		{"given up", "number", "begun and never fused"},
		{"being made", "number", "the walk is open: no current was on"},
	}},
}

// headings are the columns of the sheet of all rows with the names that they have in CSV and
// JSON, for whoever has both before him; then what those of other sheets mean.
func (b *book) headings() error {
	r := rows{heads: []string{"sheet", "heading", "name in CSV and JSON", "unit", "what it holds", "what is meant", "printed"}, widths: []float64{18, 40, 28, 10, 22, 60, 12}, first: 2}
	add := func(sheet, heading, name, unit, holds, meant string) {
		r.add(b.says(sheet, heading, name, unit, holds, meant, b.paper[[2]string{sheet, heading}])...)
	}
	for _, c := range register.Columns {
		add(Register, c.Heading(), c.Name, c.Unit, map[register.ColumnKind]string{register.Text: "text", register.Number: "number", register.Time: "date and time", register.Date: "date"}[c.Kind], plain[c.Name])
	}
	for _, c := range beside {
		add(Register, c[0], "", "", c[1], c[2])
	}
	for _, of := range ofOthers {
		for _, c := range of.heads {
			add(of.sheet, c[0], "", "", c[1], c[2])
		}
	}
	return b.write(Headings, r)
}

// onPaper takes down of a column whether it is printed.
func (b *book) onPaper(sheet, heading string, printed, empty bool) {
	says := "no"
	switch {
	case printed:
		says = "yes"
	case empty:
		says = "no: nothing stands in it"
	}
	b.paper[[2]string{sheet, heading}] = says
}
