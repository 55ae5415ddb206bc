#!/usr/bin/env python3
"""Rewrite units/testdata/other_tools.csv: what two other programs give for every unit of the units package.

Run from the top of the repository: python3 internal/crosscheck/units.py
Needs the command `units` (GNU Units) and the Python package pint. The Go tests need neither.
The expressions are typed here, not taken from the Go table, so that a slip there is not repeated here.
"""
import csv
import shutil
import subprocess
import sys

import pint

SI = {
    "length": ("m", "meter"), "area": ("m^2", "meter**2"), "volume": ("m^3", "meter**3"),
    "flow": ("m^3/s", "meter**3/second"), "velocity": ("m/s", "meter/second"), "pressure": ("Pa", "pascal"),
    "head": ("m", "meter"), "mass": ("kg", "kilogram"), "density": ("kg/m^3", "kilogram/meter**3"),
    "dynamic viscosity": ("Pa s", "pascal*second"), "kinematic viscosity": ("m^2/s", "meter**2/second"),
    "power": ("W", "watt"), "heat flow per length": ("W/m", "watt/meter"),
    "conductivity": ("W/(m K)", "watt/meter/kelvin"),
    "heat transfer coefficient": ("W/(m^2 K)", "watt/meter**2/kelvin"),
    "specific heat": ("J/(kg K)", "joule/kilogram/kelvin"), "duration": ("s", "second"),
    "temperature difference": ("K", "delta_degC"),
}

# kind | our symbol | GNU Units expression | pint expression ("" where it has none)
UNITS = """
length|m|m|meter
length|in|inch|inch
length|ft|foot|foot
length|mm|mm|millimeter
length|yd|yard|yard
length|mi|mile|mile
length|cm|cm|centimeter
length|km|km|kilometer
length|um|micrometer|micrometer
length|nm|nanometer|nanometer
length|mil|mil|thou
length|ftUS|surveyfoot|survey_foot
area|m2|m^2|meter**2
area|in2|inch^2|inch**2
area|ft2|foot^2|foot**2
area|mm2|mm^2|millimeter**2
area|cm2|cm^2|centimeter**2
area|yd2|yard^2|yard**2
area|acre|intacre|4840*yard**2
area|ha|hectare|hectare
volume|m3|m^3|meter**3
volume|gal|gallon|gallon
volume|L|liter|liter
volume|ft3|foot^3|foot**3
volume|yd3|yard^3|yard**3
volume|in3|inch^3|inch**3
volume|imp gal|brgallon|imperial_gallon
volume|qt|quart|quart
volume|pt|pint|pint
volume|fl oz|usfluidounce|fluid_ounce
volume|mL|ml|milliliter
flow|m3/s|m^3/s|meter**3/second
flow|gpm|gallon/minute|gallon/minute
flow|L/s|liter/s|liter/second
flow|L/min|liter/minute|liter/minute
flow|m3/h|m^3/hour|meter**3/hour
flow|gph|gallon/hour|gallon/hour
flow|gpd|gallon/day|gallon/day
flow|cfs|ft^3/s|foot**3/second
flow|cfm|ft^3/minute|foot**3/minute
flow|L/h|liter/hour|liter/hour
flow|imp gpm|brgallon/minute|imperial_gallon/minute
flow|mgd|1e6 gallon/day|1e6*gallon/day
velocity|m/s|m/s|meter/second
velocity|ft/s|foot/s|foot/second
velocity|ft/min|foot/minute|foot/minute
velocity|in/s|inch/s|inch/second
velocity|mm/s|mm/s|millimeter/second
velocity|km/h|km/hour|kilometer/hour
velocity|mph|mile/hour|mile/hour
pressure|Pa|Pa|pascal
pressure|psi|psi|psi
pressure|kPa|kPa|kilopascal
pressure|bar|bar|bar
pressure|mbar|millibar|millibar
pressure|MPa|MPa|megapascal
pressure|GPa|GPa|gigapascal
pressure|ksi|1000 lbf/inch^2|ksi
pressure|psf|lbf/ft^2|pound_force/foot**2
pressure|atm|atm|standard_atmosphere
pressure|kgf/cm2|kgf/cm^2|kilogram_force/centimeter**2
pressure|ft of water|ft water|foot*1000*kilogram/meter**3*standard_gravity
pressure|in of water|inch water|inch*1000*kilogram/meter**3*standard_gravity
pressure|m of water|m water|meter*1000*kilogram/meter**3*standard_gravity
pressure|mm of water|mm water|millimeter*1000*kilogram/meter**3*standard_gravity
pressure|inHg|inch Hg|inch_Hg
pressure|mmHg|mm Hg|millimeter_Hg
head|m|m|meter
head|ft|foot|foot
head|in|inch|inch
head|mm|mm|millimeter
head|cm|cm|centimeter
mass|kg|kg|kilogram
mass|lb|lb|pound
mass|oz|oz|ounce
mass|g|g|gram
mass|t|tonne|metric_ton
mass|short ton|shortton|ton
density|kg/m3|kg/m^3|kilogram/meter**3
density|lb/ft3|lb/ft^3|pound/foot**3
density|g/cm3|g/cm^3|gram/centimeter**3
density|lb/gal|lb/gallon|pound/gallon
dynamic viscosity|Pa-s|Pa s|pascal*second
dynamic viscosity|cP|centipoise|centipoise
dynamic viscosity|P|poise|poise
dynamic viscosity|lbf-s/ft2|lbf s/ft^2|pound_force*second/foot**2
dynamic viscosity|lb/ft-s|lb/(ft s)|pound/foot/second
kinematic viscosity|m2/s|m^2/s|meter**2/second
kinematic viscosity|ft2/s|ft^2/s|foot**2/second
kinematic viscosity|cSt|centistokes|centistokes
kinematic viscosity|St|stokes|stokes
power|W|W|watt
power|Btu/h|btu/hour|Btu_it/hour
power|kW|kW|kilowatt
power|MBH|1000 btu/hour|1000*Btu_it/hour
power|hp|horsepower|horsepower
power|ton|tonrefrigeration|12000*Btu_it/hour
heat flow per length|W/m|W/m|watt/meter
heat flow per length|Btu/h-ft|btu/(hour ft)|Btu_it/hour/foot
heat flow per length|W/ft|W/ft|watt/foot
conductivity|W/m-K|W/(m K)|watt/meter/kelvin
conductivity|Btu/h-ft-degF|btu/(hour ft degF)|Btu_it/hour/foot/delta_degF
conductivity|Btu-in/h-ft2-degF|btu inch/(hour ft^2 degF)|Btu_it*inch/hour/foot**2/delta_degF
heat transfer coefficient|W/m2-K|W/(m^2 K)|watt/meter**2/kelvin
heat transfer coefficient|Btu/h-ft2-degF|btu/(hour ft^2 degF)|Btu_it/hour/foot**2/delta_degF
specific heat|J/kg-K|J/(kg K)|joule/kilogram/kelvin
specific heat|Btu/lb-degF|btu/(lb degF)|Btu_it/pound/delta_degF
specific heat|kJ/kg-K|kJ/(kg K)|kilojoule/kilogram/kelvin
duration|s|s|second
duration|min|minute|minute
duration|h|hour|hour
duration|d|day|day
duration|ms|ms|millisecond
temperature difference|K|K|delta_degC
temperature difference|degF|degF|delta_degF
"""

TEMPERATURES = ["-459.67 degF", "-40 degF", "0 degF", "32 degF", "60 degF", "98.6 degF", "140 degF", "212 degF",
                "-273.15 degC", "-40 degC", "0 degC", "4 degC", "37 degC", "60 degC", "100 degC", "491.67 degR", "529.67 degR"]
GNU_TEMPERATURE = {"degF": "tempF({})", "degC": "tempC({})", "degR": "{} degR"}
PINT_TEMPERATURE = {"degF": "degF", "degC": "degC", "degR": "degR"}


def gnu(have, want):
    out = subprocess.run(["units", "-d", "15", "-1", "-t", have, want], capture_output=True, text=True, check=True)
    return out.stdout.strip()


def main():
    if not shutil.which("units"):
        sys.exit("the command units (GNU Units) is not installed")
    version = subprocess.run(["units", "--version"], capture_output=True, text=True).stdout.splitlines()[0]
    registry = pint.UnitRegistry(non_int_type=float)
    with open("units/testdata/other_tools.csv", "w", newline="") as f:
        f.write("# Factors to the SI unit and temperatures in K as other programs give them.\n")
        f.write(f"# gnu: {version}, 15 digits. pint: pint {pint.__version__} on Python {sys.version.split()[0]}, float64.\n")
        f.write("# Rewritten by internal/crosscheck/units.py.\n")
        w = csv.writer(f, lineterminator="\n")
        w.writerow(["kind", "unit", "value", "gnu", "pint"])
        for line in UNITS.strip().splitlines():
            kind, symbol, gnu_unit, pint_unit = line.split("|")
            gnu_si, pint_si = SI[kind]
            value = (registry.parse_expression(pint_unit) * 1.0).to(pint_si).magnitude
            w.writerow([kind, symbol, 1, gnu(gnu_unit, gnu_si), repr(value)])
        for text in TEMPERATURES:
            number, unit = text.split()
            value = registry.Quantity(float(number), PINT_TEMPERATURE[unit]).to("kelvin").magnitude
            w.writerow(["temperature", unit, number, gnu(GNU_TEMPERATURE[unit].format(number), "K"), repr(value)])


main()
