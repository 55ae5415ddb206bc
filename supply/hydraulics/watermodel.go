package hydraulics

import (
	"errors"
	"fmt"

	"github.com/trapweir/trapweir/tables"
)

type liquidRow struct {
	Part        string  `table:"part"`
	Exponent    float64 `table:"exponent"`
	Coefficient float64 `table:"coefficient"`
}

type saturationRow struct {
	Coefficient float64 `table:"coefficient"`
}

// loadWater reads the coefficients of the water equations from the shelf.
func loadWater() (*liquidModel, error) {
	shelf := tables.Embedded()
	m := &liquidModel{}
	rules, err := shelf.Rules("water")
	if err != nil {
		return nil, err
	}
	for _, c := range []struct {
		rule  string
		value *float64
	}{
		{"gas-constant", &m.gasConstant},
		{"reference-pressure", &m.pressure},
		{"reducing-temperature", &m.reducing},
		{"alpha-pole", &m.alphaPole},
		{"beta-pole", &m.betaPole},
		{"transport-temperature", &m.transport},
	} {
		v, _, e := tables.RuleValue[float64](rules, c.rule)
		err = errors.Join(err, e)
		*c.value = v
	}
	liquid, e := tables.Load[liquidRow](shelf, "water/liquid")
	if err = errors.Join(err, e); err != nil {
		return nil, err
	}
	if err := m.fill(liquid); err != nil {
		return nil, err
	}
	saturation, err := tables.Load[saturationRow](shelf, "water/saturation")
	if err != nil {
		return nil, err
	}
	if saturation.Len() != len(m.saturation) {
		return nil, fmt.Errorf("table water/saturation: %d rows, want %d", saturation.Len(), len(m.saturation))
	}
	for i := range m.saturation {
		m.saturation[i] = saturation.At(i).Coefficient
	}
	return m, nil
}

func (m *liquidModel) fill(rows *tables.Rows[liquidRow]) error {
	whole := map[string]*[]integral{
		"gibbs-alpha":           &m.gibbsAlpha,
		"gibbs-beta":            &m.gibbsBeta,
		"volume-alpha":          &m.volumeAlpha,
		"volume-beta":           &m.volumeBeta,
		"volume-pressure-alpha": &m.pressureAlpha,
		"volume-pressure-beta":  &m.pressureBeta,
	}
	for _, r := range rows.All() {
		switch r.Part {
		case "viscosity":
			m.viscosity = append(m.viscosity, power{r.Exponent, r.Coefficient})
		case "conductivity":
			m.conductivity = append(m.conductivity, power{r.Exponent, r.Coefficient})
		case "volume-constant":
			m.volume0 = r.Coefficient
		case "gibbs-temperature":
			// Only the term in tau ln tau has a second derivative.
			if r.Exponent == 2 {
				m.gibbsLog = r.Coefficient
			}
		default:
			list := whole[r.Part]
			if list == nil {
				return fmt.Errorf("table water/liquid: part %q is not known", r.Part)
			}
			*list = append(*list, integral{int(r.Exponent), r.Coefficient})
		}
	}
	return nil
}
