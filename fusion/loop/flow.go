package loop

import "math"

// RoughnessMM is the roughness of a PE pipe in mm as usual in design (from memory).
const RoughnessMM = 0.007

// Between these Reynolds numbers no friction factor is settled (textbook, from memory).
const (
	LaminarTo     = 2300
	TurbulentFrom = 4000
)

// Friction is the friction factor of Darcy for a Reynolds number from 1 to 10^8 and a
// relative roughness ε/D from 0 to 0.05: 64/Re below 2,300, Colebrook–White from there.
// Between 2,300 and 4,000 it is uncertain, and what is given is the larger of the two.
// Errors wrap [ErrRange].
func Friction(reynolds, roughness float64) (float64, error) {
	if err := within("Reynolds number", reynolds, Reynolds); err != nil {
		return 0, err
	}
	if err := within("relative roughness", roughness, Roughness); err != nil {
		return 0, err
	}
	if reynolds < LaminarTo {
		return 64 / reynolds, nil
	}
	return colebrook(reynolds, roughness), nil
}

// colebrook solves x = −2·log10(ε/3.7D + 2.51·x/Re) for x = 1/√f. The right side falls
// slowly with x, so that each round brings it several times nearer.
func colebrook(reynolds, roughness float64) float64 {
	x := 7.0
	for range 60 {
		x = -2 * math.Log10(roughness/3.7+2.51*x/reynolds)
	}
	return 1 / (x * x)
}

// A Loss is what water does in a pipe. It is of the pipe alone: fittings, valves and
// hoses are not counted.
type Loss struct {
	VelocityMS float64
	Reynolds   float64
	Friction   float64 // of Darcy
	HeadM      float64 // in metres of the water itself
	KPa        float64
	Litres     float64 // the pipe holds
	Minutes    float64 // for one change of that
}

// Uncertain tells that the flow is neither surely smooth nor surely turbulent.
func (l Loss) Uncertain() bool { return l.Reynolds >= LaminarTo && l.Reynolds < TurbulentFrom }

// Regime names the flow in a word.
func (l Loss) Regime() string {
	switch {
	case l.Uncertain():
		return "uncertain"
	case l.Reynolds < LaminarTo:
		return "laminar"
	}
	return "turbulent"
}

// Flow is what water of 0 to 30 °C does in a stretch of PE pipe at 0.1 to 10,000 L/min:
// Darcy–Weisbach h = f·L/D·v²/2g with [Friction], ε 0.007 mm. Water alone, pipe alone.
// Errors wrap [ErrRange].
func Flow(s Stretch, lpm, celsius float64) (l Loss, err error) {
	if err := within("flow", lpm, FlowLPM); err != nil {
		return Loss{}, err
	}
	if l.Litres, err = s.Litres(); err != nil {
		return Loss{}, err
	}
	viscosity, err := Viscosity(celsius)
	if err != nil {
		return Loss{}, err
	}
	density, _ := Density(celsius)
	bore, _ := s.BoreMM()
	bore /= 1000
	l.VelocityMS = lpm / 60000 / (math.Pi / 4 * bore * bore)
	l.Reynolds = density * l.VelocityMS * bore / (viscosity / 1000)
	if l.Friction, err = Friction(l.Reynolds, RoughnessMM/1000/bore); err != nil {
		return Loss{}, err
	}
	l.HeadM = l.Friction * s.LengthM / bore * l.VelocityMS * l.VelocityMS / (2 * gravity)
	l.KPa = density * gravity * l.HeadM / 1000
	l.Minutes = l.Litres / lpm
	return l, nil
}

// HeadLoss is the head in m that stretches one after another take at one flow.
func HeadLoss(run []Stretch, lpm, celsius float64) (sum float64, err error) {
	for _, s := range run {
		l, err := Flow(s, lpm, celsius)
		if err != nil {
			return 0, err
		}
		sum += l.HeadM
	}
	return sum, nil
}

// ChangeMinutes is how long a flow takes to change a volume so many times, 0.1 to 100:
// litres · changes / flow. Errors wrap [ErrRange].
func ChangeMinutes(litres, lpm, changes float64) (float64, error) {
	if err := within("changes of volume", changes, Changes); err != nil {
		return 0, err
	}
	if err := within("flow", lpm, FlowLPM); err != nil {
		return 0, err
	}
	return litres * changes / lpm, nil
}
