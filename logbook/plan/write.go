package plan

import (
	"strings"

	"coolhold/logbook/toml"
)

// Write is a plan as a file; Parse gives the plan back.
func Write(p Plan) string {
	var w toml.Writer
	for _, v := range [][2]string{{"site", p.Site}, {"client", p.Client}, {"firm", p.Firm}, {"address", p.Address}} {
		w.Put(v[0], v[1])
	}
	w.Opt("contract", p.Contract)
	w.Opt("version", p.Version)
	if p.requires() {
		w.Open("[require]")
		w.Opt("scraping", p.Scraping)
		toml.Over(&w, "longest_since_scraping_min", p.ScrapedMin)
		w.Opt("pressure_test", p.PressureTest)
		writeWords(&w, "before_welding", p.BeforeWelding)
		writeWords(&w, "before_cover", p.BeforeCover)
		toml.Over(&w, "least_cover_m", p.LeastCoverM)
		toml.Over(&w, "set_out_within_m", p.SetOutWithinM)
	}
	for _, c := range p.Chambers {
		writeChamber(&w, c)
	}
	for _, e := range p.Extra {
		w.Open("[[joint]]")
		w.Put("label", e.Label)
		w.Put("fitting", e.Fitting)
		w.Put("where", e.Where)
		toml.Over(&w, "od_mm", e.OdMM)
		toml.Over(&w, "sdr", e.SDR)
		w.Opt("pipe", e.Pipe)
		writeEnds(&w, e.Ends)
	}
	for _, f := range p.Factory {
		w.Open("[[factory]]")
		w.Put("label", f.Label)
		w.Put("where", f.Where)
		w.Opt("certificate", f.Certificate)
		w.Opt("chamber", f.Chamber)
		writeEnds(&w, f.Ends)
	}
	return w.String()
}

func (p Plan) requires() bool {
	return p.Scraping != "" || p.ScrapedMin > 0 || p.PressureTest != "" || len(p.BeforeWelding)+len(p.BeforeCover) > 0 || p.LeastCoverM > 0 || p.SetOutWithinM > 0
}

func writeWords(w *toml.Writer, key string, words []string) {
	if len(words) > 0 {
		w.Put(key, toml.Raw(`["`+strings.Join(words, `", "`)+`"]`))
	}
}

func writeEnds(w *toml.Writer, ends []End) {
	if len(ends) == 0 {
		return
	}
	var rows []string
	for _, e := range ends {
		rows = append(rows, string(toml.Row("pipe", e.Pipe, "od_mm", e.OdMM, "sdr", float64(e.SDR))))
	}
	w.Put("ends", toml.Raw("["+strings.Join(rows, ", ")+"]"))
}

// writeChamber writes the stub of each port with the port: what holds from the chamber
// is only a shorter way to say it.
func writeChamber(w *toml.Writer, c Chamber) {
	w.Open("[[chamber]]")
	w.Put("name", c.Name)
	w.Opt("lid", c.Lid)
	toml.OptNum(w, "chamber_level_m", c.LevelM)
	toml.OptNum(w, "lid_height_m", c.LidM)
	var ports []string
	for _, p := range c.Ports {
		ports = append(ports, "  "+string(toml.Row("no", p.No, "row", p.Row, "rail", p.Bar, "od_mm", p.OdMM, "sdr", float64(p.SDR)))+",\n")
	}
	w.Put("ports", toml.Raw("[\n"+strings.Join(ports, "")+"]"))
	for _, k := range c.Circuits {
		w.Open("[[chamber.circuit]]")
		w.Put("no", k.No)
		w.Put("od_mm", k.OdMM)
		w.Put("sdr", float64(k.SDR))
		w.Put("length_m", k.LengthM)
		w.Put("ports", toml.List(k.Ports[:]))
		w.Put("fitting", k.Fitting)
		w.Opt("tape", k.Tape)
		w.Opt("probe", k.Probe)
	}
	for _, h := range c.Headers {
		w.Open("[[chamber.header]]")
		w.Put("way", h.Way)
		w.Put("od_mm", h.OdMM)
		w.Put("sdr", float64(h.SDR))
		w.Put("length_m", h.LengthM)
		w.Put("fitting", h.Fitting)
		toml.Over(w, "stub_od_mm", h.StubOdMM)
		toml.Over(w, "stub_sdr", h.StubSDR)
	}
}
