"""SI values of the units that the sources print. Exact by definition, or from the exact pound-force and inch."""

MM = 1e-3
UM = 1e-6
IN = 0.0254
MM2 = 1e-6
LBF = 4.4482216152605
LBF_IN = LBF * IN
LBF_FT = LBF_IN * 12
KN = 1e3
MPA = 1e6
DEG = 3.141592653589793 / 180
RPM = 2 * 3.141592653589793 / 60
CELSIUS_ZERO = 273.15
DAY = 86400.0


def fired(result: dict[str, object]) -> set[str]:
    """Names of the checks that spoke."""
    checks = result["checks"]
    assert isinstance(checks, list)
    return {check["name"] for check in checks}


def window(result: dict[str, object], name: str) -> str:
    """Position of one window."""
    windows = result["windows"]
    assert isinstance(windows, list)
    (found,) = [w["position"] for w in windows if w["name"] == name]
    return str(found)
