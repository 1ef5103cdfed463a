"""Our own list of units and kinds: what is not here cannot be written in a sheet or typed in a field.

A *kind* is what a number means (a torque is not an energy, a temperature difference not a temperature). Every kind
has a coherent SI unit and a whole step (`per` steps to one SI unit) in which limits are compared.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Kind:
    """A kind of quantity: SI unit code, whole steps per SI unit."""

    unit: str
    per: float


KINDS: dict[str, Kind] = {
    "length": Kind("m", 1e9),
    "area": Kind("m2", 1e12),
    "volume": Kind("m3", 1e15),
    "torque": Kind("N.m", 1e6),
    "force": Kind("N", 1e3),
    "stress": Kind("Pa", 1.0),
    "angle": Kind("rad", 1e9),
    "temperature": Kind("K", 1e6),
    "temperature_difference": Kind("K", 1e6),
    "expansion": Kind("1/K", 1e15),
    "rotation": Kind("rad/s", 1e6),
    "velocity": Kind("m/s", 1e9),
    "mass": Kind("kg", 1e6),
    "unbalance": Kind("kg*m", 1e9),
    "time": Kind("s", 1e3),
    "energy": Kind("J", 1e3),
    "power": Kind("W", 1e3),
    "stiffness": Kind("N/m", 1.0),
    "frequency": Kind("Hz", 1e6),
    "ratio": Kind("1", 1e12),
    "count": Kind("1", 1e6),
}


@dataclass(frozen=True)
class Unit:
    """A unit: the kinds it may carry, its pint expression, how it is shown and typed, its partner over the system line.

    `decimals` is the most that is shown. `small` is a second partner used below `small_below` (SI).
    """

    code: str
    kinds: tuple[str, ...]
    pint: str
    shown: str
    system: str  # metric | inch | both
    decimals: int
    partner: str | None = None
    small: str | None = None
    small_below: float = 0.0
    also: tuple[str, ...] = ()


def _u(code: str, kinds: str, pint: str, system: str, decimals: int, shown: str | None = None, partner: str | None = None, also: str = "", small: str | None = None, small_below: float = 0.0) -> Unit:
    return Unit(code, tuple(kinds.split()), pint, "" if code == "1" else shown or code, system, decimals, partner, small, small_below, tuple(one for one in also.split("|") if one))


_ALL = [
    _u("mm", "length", "mm", "metric", 4, partner="in", also="MM|millimetre|millimetres|millimeter|millimeters"),
    _u("um", "length", "um", "metric", 1, "µm", partner="thou", also="µm|μm|micron|microns|micrometre|micrometer"),
    _u("m", "length", "m", "metric", 3, partner="ft", also="metre|metres|meter|meters"),
    _u("in", "length", "inch", "inch", 4, partner="mm", also='"|″|”|\'\'|inch|inches|IN|In'),
    _u("thou", "length", "thou", "inch", 2, partner="um", also="mil|mils"),
    _u("ft", "length", "ft", "inch", 3, partner="m", also="foot|feet"),
    _u("m2", "area", "m**2", "metric", 4, "m²", partner="in2", also="m²|m^2"),
    _u("mm2", "area", "mm**2", "metric", 2, "mm²", partner="in2", also="mm²|mm^2"),
    _u("in2", "area", "inch**2", "inch", 4, "in²", partner="mm2", also="in²|in^2"),
    _u("m3", "volume", "m**3", "metric", 6, "m³", also="m³|m^3"),
    _u("mm3", "volume", "mm**3", "metric", 0, "mm³", partner="in3", also="mm³|mm^3"),
    _u("cm3", "volume", "cm3", "metric", 2, "cm³", partner="in3", also="cm³|cm^3"),
    _u("in3", "volume", "inch**3", "inch", 3, "in³", partner="cm3", also="in³|in^3"),
    _u("N.m", "torque", "N*m", "metric", 1, "N·m", partner="lbf.ft", small="lbf.in", small_below=15.0, also="N·m|N⋅m|Nm|N m|N-m|N*m|newton metre|newton meter"),
    _u("kN.m", "torque", "kN*m", "metric", 3, "kN·m", partner="lbf.ft", also="kN·m|kNm|kN m"),
    _u("kgf.m", "torque", "kgf*m", "metric", 2, "kgf·m", partner="lbf.ft", also="kgf·m|kgfm|kgf m|kgf-m|kg.m|kg·m|kg-m|kgm"),
    _u("lbf.ft", "torque", "lbf*ft", "inch", 1, "lbf·ft", partner="N.m", also="lbf·ft|lbf ft|lbf-ft|ft.lbf|ft·lbf|ft-lbf|ft lbf|lb.ft|lb·ft|lb-ft|lb ft|ft.lb|ft-lb|ft lb|ft lbs|ft-lbs"),
    _u("lbf.in", "torque", "lbf*inch", "inch", 0, "lbf·in", partner="N.m", also="lbf·in|lbf in|lbf-in|in.lbf|in·lbf|in-lbf|in lbf|lb.in|lb·in|lb-in|lb in|in.lb|in-lb|in lb|in lbs|in-lbs"),
    _u("N", "force", "N", "metric", 0, partner="lbf", also="newton|newtons"),
    _u("kN", "force", "kN", "metric", 2, partner="lbf", also="kilonewton|kilonewtons"),
    _u("lbf", "force", "lbf", "inch", 0, partner="kN"),
    _u("Pa", "stress", "Pa", "metric", 0, partner="psi"),
    _u("MPa", "stress", "MPa", "metric", 0, partner="ksi", also="N/mm²|N/mm^2|N/mm2"),
    _u("GPa", "stress", "GPa", "metric", 1, partner="ksi"),
    _u("bar", "stress", "bar", "metric", 1, partner="psi"),
    _u("psi", "stress", "psi", "inch", 0, partner="MPa"),
    _u("ksi", "stress", "ksi", "inch", 1, partner="MPa"),
    _u("rad", "angle", "rad", "both", 4),
    _u("deg", "angle", "deg", "both", 1, "°", also="°|º|degree|degrees"),
    _u("turn", "angle", "turn", "both", 3, also="turns"),
    _u("degC", "temperature", "degC", "metric", 1, "°C", partner="degF", also="°C|ºC|C|deg C"),
    _u("degF", "temperature", "degF", "inch", 1, "°F", partner="degC", also="°F|ºF|F|deg F"),
    _u("K", "temperature temperature_difference", "K", "both", 1),
    _u("dK", "temperature_difference", "K", "metric", 1, "K", partner="dF"),
    _u("dF", "temperature_difference", "dF", "inch", 1, "Δ°F", partner="dK"),
    _u("1/K", "expansion", "1/K", "both", 9, also="/K"),
    _u("um/m/K", "expansion", "um/m/K", "both", 2, "µm/(m·K)", also="µm/m/K"),
    _u("r/min", "rotation", "turn/min", "both", 0, also="rpm|RPM|rev/min|1/min|min-1"),
    _u("rad/s", "rotation", "rad/s", "both", 2),
    _u("m/s", "velocity", "m/s", "metric", 3, partner="in/s"),
    _u("mm/s", "velocity", "mm/s", "metric", 2, partner="in/s"),
    _u("in/s", "velocity", "inch/s", "inch", 3, partner="mm/s"),
    _u("kg", "mass", "kg", "metric", 2, partner="lb"),
    _u("g", "mass", "g", "metric", 1, partner="oz"),
    _u("lb", "mass", "lb", "inch", 2, partner="kg", also="lbs"),
    _u("oz", "mass", "oz", "inch", 2, partner="g"),
    _u("kg*m", "unbalance", "kg*m", "metric", 4, partner="oz.in"),  # not kg.m: on a wrench that is a kgf.m
    _u("g.mm", "unbalance", "g*mm", "metric", 0, "g·mm", partner="oz.in", also="gmm|g mm|g-mm"),
    _u("oz.in", "unbalance", "oz*inch", "inch", 3, "oz·in", partner="g.mm", also="oz in|oz-in"),
    _u("s", "time", "s", "both", 1),
    _u("min", "time", "min", "both", 1),
    _u("h", "time", "h", "both", 1, also="hour|hours"),
    _u("day", "time", "day", "both", 1, "days", also="days|d"),
    _u("J", "energy", "J", "metric", 1),
    _u("kW", "power", "kW", "metric", 2, partner="hp"),
    _u("W", "power", "W", "metric", 0, partner="hp"),
    _u("hp", "power", "hp", "inch", 2, partner="kW"),
    _u("N/m", "stiffness", "N/m", "metric", 0),
    _u("N/mm", "stiffness", "N/mm", "metric", 1),
    _u("Hz", "frequency", "Hz", "both", 1),
    _u("1", "ratio count", "one", "both", 4, ""),
    _u("%", "ratio", "percent", "both", 1, "%", also="percent|pct"),
    _u("um/mm", "ratio", "um/mm", "both", 3, "µm/mm", also="µm/mm"),
]

UNITS: dict[str, Unit] = {one.code: one for one in _ALL}

# What a number typed in a unit may have been meant in, the likeliest first: the slips that people make with these units.
MEANT: dict[str, tuple[str, ...]] = {
    "mm": ("in", "um"), "in": ("mm", "thou"), "um": ("mm", "thou"), "thou": ("in", "um"), "m": ("mm", "ft"), "ft": ("in", "m"),
    "N.m": ("lbf.ft", "lbf.in"), "lbf.ft": ("lbf.in", "N.m"), "lbf.in": ("lbf.ft", "N.m"), "kgf.m": ("N.m", "lbf.ft"), "kN.m": ("N.m", "lbf.ft"),
    "degC": ("degF",), "degF": ("degC",), "K": ("degC", "degF"), "dK": ("dF",), "dF": ("dK",),
    "N": ("kN", "lbf"), "kN": ("N", "lbf"), "lbf": ("N", "kN"),
    "Pa": ("MPa",), "MPa": ("psi", "bar"), "GPa": ("MPa",), "bar": ("psi", "MPa"), "psi": ("bar", "MPa", "ksi"), "ksi": ("psi",),
    "m/s": ("mm/s",), "mm/s": ("in/s",), "in/s": ("mm/s",), "kg": ("lb", "g"), "lb": ("kg", "oz"), "g": ("oz", "kg"), "oz": ("g", "lb"),
    "kW": ("hp", "W"), "W": ("kW",), "hp": ("kW",), "1": ("%",), "%": ("1",), "deg": ("turn",), "turn": ("deg",),
}  # fmt: skip

# Exact by definition: inch, pound, g0, degree Fahrenheit. hp = 550 ft.lbf/s. pi to 30 places for degree and turn.
DEFINITIONS = """
m = [length]
kg = [mass]
s = [time]
K = [temperature]; offset: 0
rad = [angle]
one = []
percent = 0.01 * one
mm = 0.001 * m
um = 0.000001 * m
inch = 0.0254 * m
thou = 0.0000254 * m
ft = 0.3048 * m
cm3 = 0.000001 * m ** 3
N = kg * m / s ** 2
kN = 1000 * N
lb = 0.45359237 * kg
g = 0.001 * kg
oz = 0.028349523125 * kg
kgf = 9.80665 * N
lbf = 4.4482216152605 * N
Pa = N / m ** 2
MPa = 1000000 * Pa
GPa = 1000000000 * Pa
bar = 100000 * Pa
psi = 6894.757293168361336722673445 * Pa
ksi = 6894757.293168361336722673445 * Pa
deg = 0.0174532925199432957692369076849 * rad
turn = 6.28318530717958647692528676656 * rad
degC = K; offset: 273.15
degF = 0.5555555555555555555555555556 * K; offset: 255.3722222222222222222222222
dF = 0.5555555555555555555555555556 * K
min = 60 * s
h = 3600 * s
day = 86400 * s
J = N * m
W = J / s
kW = 1000 * W
hp = 745.69987158227022 * W
Hz = one / s
"""
