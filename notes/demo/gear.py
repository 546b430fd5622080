"""The microphones and DIs of the act. Every maker and model is invented, every figure made up."""

from __future__ import annotations

from typing import NamedTuple


class DeviceSpec(NamedTuple):
    name: str
    maker: str
    principle: str
    pattern: str = ""
    mv_pa: str = ""
    max_spl: str = ""
    noise: str = ""
    ohm: str = ""
    phantom: bool = False
    owned: int | None = None
    serials: str = ""
    case: str = "Case 11, microphones"
    kg: str = ""
    country: str = ""
    worth: str = ""  # in EUR

    @property
    def form(self) -> str:
        return "di" if self.principle.startswith("di_") else "mic"


DEVICES = (
    DeviceSpec(
        "Hollow 2",
        "Corvandale",
        "dynamic",
        "supercardioid",
        "1.8",
        "160",
        "",
        "200",
        owned=5,
        kg="0.32",
        country="DE",
        worth="145",
    ),
    DeviceSpec(
        "Bollard",
        "Corvandale",
        "dynamic",
        "cardioid",
        "1.1",
        "164",
        "",
        "250",
        owned=3,
        kg="0.61",
        country="DE",
        worth="210",
    ),
    DeviceSpec(
        "Eskvane 4",
        "Quarrie & Lund",
        "ribbon",
        "figure8",
        "2.2",
        "148",
        "14",
        "300",
        owned=3,
        serials="QL-40118\nQL-40119\nQL-40240",
        kg="0.41",
        country="DE",
        worth="890",
    ),
    DeviceSpec(
        "Eskvane 6A", "Quarrie & Lund", "active_ribbon", "figure8", "14", "138", "12", "150", True
    ),
    DeviceSpec(
        "Selvage C",
        "Quarrie & Lund",
        "condenser",
        "cardioid",
        "12",
        "140",
        "9",
        "100",
        True,
        owned=4,
    ),
    DeviceSpec(
        "Selvage O", "Quarrie & Lund", "condenser", "omni", "10", "142", "11", "100", True, owned=2
    ),
    DeviceSpec(
        "Thimble", "Brackmoor", "condenser", "supercardioid", "6", "152", "26", "150", True, owned=2
    ),
    DeviceSpec("Carnothe", "Brackmoor", "dynamic", "cardioid", "2.4", "156", "", "300", owned=2),
    DeviceSpec(
        "Carnothe Tight", "Brackmoor", "dynamic", "hypercardioid", "2.6", "156", "", "300", owned=2
    ),
    DeviceSpec("Footplate", "Brackmoor", "boundary", "omni", "1.6", "155", "24", "120", True),
    DeviceSpec("Straight Line", "Vennick Works", "di_passive", ohm="140000"),
    DeviceSpec(
        "Straight Line A", "Vennick Works", "di_active", ohm="1000000", phantom=True, owned=2
    ),
    DeviceSpec("Twin Line A", "Vennick Works", "di_active", ohm="1000000", phantom=True, owned=2),
)
