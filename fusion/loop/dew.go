package loop

import "math"

// Coefficients of the Magnus form (Alduchov & Eskridge 1996): a, and b in °C.
const (
	magnusA = 17.625
	magnusB = 243.04
)

// DewPoint is the temperature in °C at which a room of 0 to 50 °C and 1 to 100 % relative
// humidity begins to sweat: b·α/(a − α), α = ln(RH/100) + a·T/(b + T), a = 17.625,
// b = 243.04 °C (Alduchov & Eskridge 1996). Errors wrap [ErrRange].
func DewPoint(roomC, humidity float64) (float64, error) {
	if err := within("room", roomC, RoomC); err != nil {
		return 0, err
	}
	if err := within("relative humidity", humidity, Humidity); err != nil {
		return 0, err
	}
	alpha := math.Log(humidity/100) + magnusA*roomC/(magnusB+roomC)
	return magnusB * alpha / (magnusA - alpha), nil
}

// Sweats tells whether a bare pipe of −30 to 50 °C sweats in that room, and the room's
// dew point: it does from the dew point down. The pipe's temperature is the coldest that
// is expected of it, in late winter. Errors wrap [ErrRange].
func Sweats(roomC, humidity, pipeC float64) (dew float64, sweats bool, err error) {
	if dew, err = DewPoint(roomC, humidity); err != nil {
		return 0, false, err
	}
	return dew, pipeC <= dew, within("pipe", pipeC, PipeC)
}
