package units

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
