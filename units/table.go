package units

import (
	"strings"
	"sync"
)

// unit is one row of the table every parser and conversion uses. A value x in
// this unit is (x + offset/100)·num/den in the SI unit of its kind, exactly.
type unit struct {
	symbol   string
	num      int64
	den      int64
	offset   int64  // hundredths; temperatures only
	capitals bool   // a unit of the trade, which may stand in capitals (GPM, PSI)
	also     string // other spellings, "|" between
	note     string // the convention, where the unit is not defined exactly by its name
}

// Definitions the table rests on, all exact: foot 0.3048 m and pound 0.45359237 kg (international yard and pound
// agreement, 1959), standard gravity 9.80665 m/s2, US gallon 231 in3, imperial gallon 4.54609 L,
// International Table Btu 1055.05585262 J, °F = 5/9 K and 459.67 °F above absolute zero.
// Source: NIST SP 811 (2008) Appendix B; NIST Handbook 44 Appendix C.
//
// In each kind the first unit is the SI unit; units that text output prefers
// come by index in shown.
var unitTable = [kinds][]unit{
	kindLength: {
		{symbol: "m", num: 1, den: 1, also: "metre|metres|meter|meters"},
		{symbol: "in", num: 127, den: 5000, capitals: true,
			also: "inch|inches|in.|In|\"|″|”|“|ʺ|''|′′|’’|‘‘|´´|ʹʹ"},
		{symbol: "ft", num: 381, den: 1250, capitals: true, also: "foot|feet|ft.|Ft|'|′|’|‘|´|ʹ"},
		{symbol: "mm", num: 1, den: 1000, also: "millimetre|millimetres|millimeter|millimeters"},
		{symbol: "yd", num: 1143, den: 1250, capitals: true, also: "yard|yards|yd."},
		{symbol: "mi", num: 201168, den: 125, capitals: true, also: "mile|miles"},
		{symbol: "cm", num: 1, den: 100, also: "centimetre|centimetres|centimeter|centimeters"},
		{symbol: "km", num: 1000, den: 1, also: "kilometre|kilometres|kilometer|kilometers"},
		{symbol: "um", num: 1, den: 1e6, also: "µm|μm"},
		{symbol: "nm", num: 1, den: 1e9},
		{symbol: "mil", num: 127, den: 5e6},
		{symbol: "ftUS", num: 1200, den: 3937, also: "US survey foot|US survey feet|US survey ft",
			note: "US survey foot, 1200/3937 m; withdrawn by NIST and NGS at the end of 2022"},
	},
	kindArea: {
		{symbol: "m2", num: 1, den: 1, also: "sq m"},
		{symbol: "in2", num: 16129, den: 25e6, capitals: true, also: "sq in|sq. in."},
		{symbol: "ft2", num: 145161, den: 1562500, capitals: true, also: "sq ft|sq. ft.|sf|sqft"},
		{symbol: "mm2", num: 1, den: 1e6, also: "sq mm"},
		{symbol: "cm2", num: 1, den: 1e4, also: "sq cm"},
		{symbol: "yd2", num: 1306449, den: 1562500, capitals: true, also: "sq yd|sy"},
		{symbol: "acre", num: 316160658, den: 78125, capitals: true, also: "acres|ac",
			note: "international acre, 43 560 ft2"},
		{symbol: "ha", num: 10000, den: 1, also: "hectare|hectares"},
	},
	kindVolume: {
		{symbol: "m3", num: 1, den: 1, also: "cu m"},
		{symbol: "gal", num: 473176473, den: 125e9, capitals: true,
			also: "US gal|gallon|gallons|US gallon|US gallons|gals|gpf|gal/flush", note: "US liquid gallon, 231 in3"},
		{symbol: "L", num: 1, den: 1000, also: "l|litre|litres|liter|liters|dm3|Lpf|lpf|L/flush"},
		{symbol: "ft3", num: 55306341, den: 1953125000, capitals: true, also: "cu ft|cf"},
		{symbol: "yd3", num: 1493271207, den: 1953125000, capitals: true, also: "cu yd|cy"},
		{symbol: "in3", num: 2048383, den: 125e9, capitals: true, also: "cu in"},
		{symbol: "imp gal", num: 454609, den: 1e8, capitals: true,
			also: "UK gal|UK gallon|UK gallons|imp. gal|imperial gal|imperial gallon|" +
				"imperial gallons|imp gallon|imp gallons"},
		{symbol: "qt", num: 473176473, den: 500e9, capitals: true, also: "quart|quarts|US qt",
			note: "US liquid quart, 1/4 gal"},
		{symbol: "pt", num: 473176473, den: 1000e9, capitals: true, also: "pint|pints|US pt",
			note: "US liquid pint, 1/8 gal"},
		{symbol: "fl oz", num: 473176473, den: 16000e9, capitals: true, also: "oz|fl. oz.|US fl oz",
			note: "US fluid ounce, 1/128 gal"},
		{symbol: "mL", num: 1, den: 1e6, also: "ml|cm3|cc"},
	},
	kindFlow: {
		{symbol: "m3/s", num: 1, den: 1},
		{symbol: "gpm", num: 157725491, den: 2500e9, capitals: true,
			also: "US gpm|USgpm|gal/min|gallons per minute|gallon per minute|US gallons per minute",
			note: "US liquid gallons"},
		{symbol: "L/s", num: 1, den: 1000, also: "l/s|lps|L/sec|litres per second|liters per second"},
		{symbol: "L/min", num: 1, den: 60000, also: "l/min|lpm|LPM|litres per minute|liters per minute"},
		{symbol: "m3/h", num: 1, den: 3600, also: "m3/hr"},
		{symbol: "gph", num: 157725491, den: 150e12, capitals: true, also: "gal/h|gal/hr|US gph",
			note: "US liquid gallons"},
		{symbol: "gpd", num: 157725491, den: 3600e12, capitals: true, also: "gal/d|gal/day|US gpd",
			note: "US liquid gallons"},
		{symbol: "cfs", num: 55306341, den: 1953125000, capitals: true, also: "ft3/s|cu ft/s|ft3/sec"},
		{symbol: "cfm", num: 18435447, den: 39062500000, capitals: true, also: "ft3/min|cu ft/min"},
		{symbol: "L/h", num: 1, den: 3600000, also: "l/h|lph|LPH|L/hr"},
		{symbol: "imp gpm", num: 454609, den: 6e9, capitals: true,
			also: "UK gpm|imp. gpm|imperial gpm|imp gal/min|UK gal/min|igpm|" +
				"imperial gallons per minute|UK gallons per minute"},
		{symbol: "mgd", num: 157725491, den: 3600e6, also: "MGD", note: "million US liquid gallons a day"},
	},
	kindVelocity: {
		{symbol: "m/s", num: 1, den: 1, also: "m/sec"},
		{symbol: "ft/s", num: 381, den: 1250, capitals: true, also: "fps|ft/sec|feet/s"},
		{symbol: "ft/min", num: 127, den: 25000, capitals: true, also: "fpm"},
		{symbol: "in/s", num: 127, den: 5000, capitals: true, also: "in/sec|ips"},
		{symbol: "mm/s", num: 1, den: 1000},
		{symbol: "km/h", num: 5, den: 18},
		{symbol: "mph", num: 1397, den: 3125, capitals: true, also: "mi/h"},
	},
	kindPressure: {
		{symbol: "Pa", num: 1, den: 1},
		{symbol: "psi", num: 8896443230521, den: 1290320000, capitals: true, also: "psig|lb/in2|lbf/in2|psi(g)"},
		{symbol: "kPa", num: 1000, den: 1, also: "kPag|kPa(g)|kN/m2"},
		{symbol: "bar", num: 100000, den: 1, also: "barg|bar(g)"},
		{symbol: "mbar", num: 100, den: 1, also: "hPa"},
		{symbol: "MPa", num: 1e6, den: 1, also: "N/mm2"},
		{symbol: "GPa", num: 1e9, den: 1},
		{symbol: "ksi", num: 8896443230521, den: 1290320, capitals: true},
		{symbol: "psf", num: 8896443230521, den: 185806080000, capitals: true, also: "lb/ft2|lbf/ft2"},
		{symbol: "atm", num: 101325, den: 1, note: "standard atmosphere, as an amount of pressure"},
		{symbol: "kgf/cm2", num: 196133, den: 2, also: "kg/cm2", note: "kilogram-force by standard gravity"},
		{symbol: "ft of water", num: 74726673, den: 25000, capitals: true,
			also: "ftH2O|ft H2O|feet of water|ft wc|ft w.c.|ftwc", note: conventionalWater},
		{symbol: "in of water", num: 24908891, den: 100000, capitals: true,
			also: "inH2O|in H2O|inches of water|in wc|in w.c.|inwc|in WC|in W.C.|in. wc|in. w.c.|" +
				"\" wc|\" w.c.|\" of water",
			note: conventionalWater},
		{symbol: "m of water", num: 196133, den: 20, also: "mH2O|m H2O|mwc|metres of water|meters of water",
			note: conventionalWater},
		{symbol: "mm of water", num: 196133, den: 20000, also: "mmH2O|mm H2O|mmwc", note: conventionalWater},
		{symbol: "inHg", num: 3386388640341, den: 1e9, capitals: true,
			also: "in Hg|in of mercury|inches of mercury|in. Hg|\" Hg|\" of mercury", note: conventionalMercury},
		{symbol: "mmHg", num: 26664477483, den: 200e6, also: "mm Hg|mm of mercury", note: conventionalMercury},
	},
	kindHead: {
		{symbol: "m", num: 1, den: 1,
			also: "m of water|mH2O|m H2O|mwc|metres of water|meters of water|m head|m of head"},
		{symbol: "ft", num: 381, den: 1250, capitals: true,
			also: "ft of water|ftH2O|ft H2O|feet of water|foot|feet|ft.|'|′|’|ft wc|ft w.c.|ft head|" +
				"ft of head|feet of head"},
		{symbol: "in", num: 127, den: 5000, capitals: true,
			also: "in of water|inH2O|in H2O|inches of water|inch|inches|in.|in wc|in w.c.|in. wc|" +
				"in. w.c.|\"|\" wc|\" w.c.|\" of water"},
		{symbol: "mm", num: 1, den: 1000, also: "mm of water|mmH2O|mm H2O|mmwc"},
		{symbol: "cm", num: 1, den: 100, also: "cm of water|cmH2O"},
	},
	kindMass: {
		{symbol: "kg", num: 1, den: 1},
		{symbol: "lb", num: 45359237, den: 1e8, capitals: true, also: "lbs|pound|pounds|lbm",
			note: "avoirdupois pound"},
		{symbol: "oz", num: 45359237, den: 16e8, capitals: true, also: "ounce|ounces", note: "avoirdupois ounce"},
		{symbol: "g", num: 1, den: 1000},
		{symbol: "t", num: 1000, den: 1, also: "tonne|tonnes", note: "metric tonne"},
		{symbol: "short ton", num: 45359237, den: 50000, capitals: true, also: "short tons|US ton|US tons",
			note: "2000 lb"},
	},
	kindDensity: {
		{symbol: "kg/m3", num: 1, den: 1},
		{symbol: "lb/ft3", num: 28349523125, den: 1769802912, capitals: true, also: "pcf|lbm/ft3|lb/cu ft"},
		{symbol: "g/cm3", num: 1000, den: 1, also: "g/mL|g/ml|kg/L"},
		{symbol: "lb/gal", num: 5669904625000, den: 47317647300, capitals: true, also: "ppg",
			note: "US liquid gallon"},
	},
	kindDynamicViscosity: {
		{symbol: "Pa-s", num: 1, den: 1, also: "kg/m-s|N-s/m2"},
		{symbol: "cP", num: 1, den: 1000, also: "mPa-s|cp"},
		{symbol: "P", num: 1, den: 10, also: "poise"},
		{symbol: "lbf-s/ft2", num: 8896443230521, den: 185806080000, also: "lb-s/ft2|slug/ft-s"},
		{symbol: "lb/ft-s", num: 45359237, den: 30480000, also: "lbm/ft-s"},
	},
	kindKinematicViscosity: {
		{symbol: "m2/s", num: 1, den: 1},
		{symbol: "ft2/s", num: 145161, den: 1562500, capitals: true, also: "sq ft/s|ft2/sec"},
		{symbol: "cSt", num: 1, den: 1e6, also: "mm2/s|centistokes|cst"},
		{symbol: "St", num: 1, den: 1e4, also: "cm2/s|stokes"},
	},
	kindPower: {
		{symbol: "W", num: 1, den: 1, also: "J/s"},
		{symbol: "Btu/h", num: 52752792631, den: 180e9, capitals: true, also: "Btu/hr|Btuh", note: noteBtu},
		{symbol: "kW", num: 1000, den: 1},
		{symbol: "MBH", num: 52752792631, den: 180e6, also: "MBtu/h|kBtu/h", note: "1000 Btu/h; " + noteBtu},
		{symbol: "hp", num: 37284993579113511, den: 50e12, also: "HP|bhp", note: "550 ft-lbf/s"},
		{symbol: "ton", num: 52752792631, den: 15e6, capitals: true,
			also: "tons|ton of refrigeration|tons of refrigeration|TR",
			note: "of refrigeration, 12 000 Btu/h; " + noteBtu},
	},
	kindHeatFlowPerLength: {
		{symbol: "W/m", num: 1, den: 1},
		{symbol: "Btu/h-ft", num: 52752792631, den: 54864e6, capitals: true, also: "Btu/h/ft|Btuh/ft|Btu/hr-ft",
			note: noteBtu},
		{symbol: "W/ft", num: 1250, den: 381},
	},
	kindConductivity: {
		{symbol: "W/m-K", num: 1, den: 1, also: "W/m-degC|W/m/K|W/mK"},
		{symbol: "Btu/h-ft-degF", num: 52752792631, den: 30480e6, capitals: true,
			also: "Btu/h-ft-F|Btu-ft/h-ft2-degF", note: noteBtu},
		{symbol: "Btu-in/h-ft2-degF", num: 52752792631, den: 365760e6, capitals: true, also: "Btu-in/h-ft2-F",
			note: noteBtu},
	},
	kindHeatTransferCoefficient: {
		{symbol: "W/m2-K", num: 1, den: 1, also: "W/m2-degC|W/m2/K|W/m2K"},
		{symbol: "Btu/h-ft2-degF", num: 52752792631, den: 9290304000, capitals: true, also: "Btu/h-ft2-F",
			note: noteBtu},
	},
	kindSpecificHeat: {
		{symbol: "J/kg-K", num: 1, den: 1, also: "J/kg-degC"},
		{symbol: "Btu/lb-degF", num: 20934, den: 5, capitals: true, also: "Btu/lb-F", note: noteBtu},
		{symbol: "kJ/kg-K", num: 1000, den: 1, also: "kJ/kg-degC"},
	},
	kindDuration: {
		{symbol: "s", num: 1, den: 1, also: "sec|secs|second|seconds"},
		{symbol: "min", num: 60, den: 1, also: "mins|minute|minutes"},
		{symbol: "h", num: 3600, den: 1, also: "hr|hrs|hour|hours"},
		{symbol: "d", num: 86400, den: 1, also: "day|days"},
		{symbol: "ms", num: 1, den: 1000},
	},
	kindTemperature: {
		{symbol: "K", num: 1, den: 1},
		{symbol: "degF", num: 5, den: 9, offset: 45967, capitals: true,
			also: "F|deg F|degree F|degrees F|Fahrenheit"},
		{symbol: "degC", num: 1, den: 1, offset: 27315, also: "C|deg C|degree C|degrees C|Celsius"},
		{symbol: "degR", num: 5, den: 9, also: "R|deg R|Rankine"},
	},
	kindTemperatureDifference: {
		{symbol: "K", num: 1, den: 1, also: "degC|C|deg C|delta K|delta degC|ΔK|ΔdegC|Celsius degrees"},
		{symbol: "degF", num: 5, den: 9, capitals: true, also: "F|deg F|degR|R|delta degF|ΔdegF|Fahrenheit degrees"},
	},
}

const (
	noteBtu             = "International Table Btu, 1055.05585262 J"
	conventionalWater   = "conventional: water of 1000 kg/m3 under standard gravity"
	conventionalMercury = "conventional: mercury of 13 595.1 kg/m3 (0 degC) under standard gravity"
)

// spelling leads from every spelling of a unit to its index in unitTable[kind].
// A unit of trade (gpm, psi, ft) may also stand in capitals; metric symbols may
// not, since their case carries meaning.
var spelling = sync.OnceValue(func() *[kinds]map[string]uint8 {
	var all [kinds]map[string]uint8
	for k := range unitTable {
		m := make(map[string]uint8, 8*len(unitTable[k]))
		for i := range unitTable[k] {
			u := &unitTable[k][i]
			add := func(s string) {
				if _, ok := m[s]; !ok {
					m[s] = uint8(i)
				}
			}
			add(u.symbol)
			for s := range strings.SplitSeq(u.also, "|") {
				if s != "" {
					add(s)
				}
			}
		}
		// Capitals in a second pass: they never displace a spelling of its own.
		for i := range unitTable[k] {
			u := &unitTable[k][i]
			for s := range strings.SplitSeq(u.symbol+"|"+u.also, "|") {
				up := strings.ToUpper(s)
				if _, ok := m[up]; !ok && s != "" && u.capitals {
					m[up] = uint8(i)
				}
			}
		}
		all[k] = m
	}
	return &all
})

// respell brings signs the table does not hold to plain ones.
var respell = sync.OnceValue(func() *strings.Replacer {
	return strings.NewReplacer("·", "-", "⋅", "-", "*", "-", "²", "2", "³", "3", "₂", "2", "^", "", "°", "deg", "º",
		"deg",
		"℃", "degC", "℉", "degF", "deg ", "deg", "/(", "/", ")", "", "BTU", "Btu", "/hr", "/h", "hr-", "h-", "hr ",
		"h ",
		"\u00a0", " ", "\u2009", " ", "\u202f", " ", "  ", " ")
})

// lookup finds a unit of kind k by its spelling: as it is, in plain signs, and
// with dashes for the spaces of a product (W/(m K) is W/m-K).
func lookup(k kind, s string) (*unit, bool) {
	m := spelling()[k]
	i, ok := m[s]
	if !ok {
		s = respell().Replace(s)
		i, ok = m[s]
	}
	if !ok {
		i, ok = m[strings.ReplaceAll(s, " ", "-")]
	}
	if !ok {
		return nil, false
	}
	return &unitTable[k][i], true
}
