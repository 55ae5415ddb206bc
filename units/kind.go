package units

import "strings"

// kind is a quantity: what a unit measures.
type kind uint8

const (
	kindLength kind = iota
	kindArea
	kindVolume
	kindFlow
	kindVelocity
	kindPressure
	kindHead
	kindMass
	kindDensity
	kindDynamicViscosity
	kindKinematicViscosity
	kindPower
	kindHeatFlowPerLength
	kindConductivity
	kindHeatTransferCoefficient
	kindSpecificHeat
	kindDuration
	kindTemperature
	kindTemperatureDifference
	kinds
)

var kindNames = [kinds]string{
	"length", "area", "volume", "flow", "velocity", "pressure", "head", "mass", "density",
	"dynamic viscosity", "kinematic viscosity", "power", "heat flow per length", "conductivity",
	"heat transfer coefficient", "specific heat", "duration", "temperature", "temperature difference",
}

func (k kind) String() string { return kindNames[k] }

// typeName returns the name of the type that holds the kind: DynamicViscosity.
func (k kind) typeName() string {
	words := strings.Fields(k.String())
	for i, w := range words {
		words[i] = strings.ToUpper(w[:1]) + w[1:]
	}
	return strings.Join(words, "")
}

// A dimension tells the [Measure] of one kind from that of another, so that the
// compiler refuses a flow where a pressure is wanted.
type dimension interface {
	~struct{}
	kind() kind
}

type (
	area                    struct{}
	volume                  struct{}
	flow                    struct{}
	velocity                struct{}
	pressure                struct{}
	head                    struct{}
	mass                    struct{}
	density                 struct{}
	dynamicViscosity        struct{}
	kinematicViscosity      struct{}
	power                   struct{}
	heatFlowPerLength       struct{}
	conductivity            struct{}
	heatTransferCoefficient struct{}
	specificHeat            struct{}
	duration                struct{}
	temperature             struct{}
	temperatureDifference   struct{}
)

func (area) kind() kind                    { return kindArea }
func (volume) kind() kind                  { return kindVolume }
func (flow) kind() kind                    { return kindFlow }
func (velocity) kind() kind                { return kindVelocity }
func (pressure) kind() kind                { return kindPressure }
func (head) kind() kind                    { return kindHead }
func (mass) kind() kind                    { return kindMass }
func (density) kind() kind                 { return kindDensity }
func (dynamicViscosity) kind() kind        { return kindDynamicViscosity }
func (kinematicViscosity) kind() kind      { return kindKinematicViscosity }
func (power) kind() kind                   { return kindPower }
func (heatFlowPerLength) kind() kind       { return kindHeatFlowPerLength }
func (conductivity) kind() kind            { return kindConductivity }
func (heatTransferCoefficient) kind() kind { return kindHeatTransferCoefficient }
func (specificHeat) kind() kind            { return kindSpecificHeat }
func (duration) kind() kind                { return kindDuration }
func (temperature) kind() kind             { return kindTemperature }
func (temperatureDifference) kind() kind   { return kindTemperatureDifference }
