"""One idea: what number is absurd is decided in one place. These catch slips of the hand; no source gives them."""

from typing import Final

from putback.adapters.car_file.kinds import Number

COUNT: Final = Number(least=1, most=400, whole=True)
PIECES: Final = Number(least=1, most=400, whole=True)
PEOPLE: Final = Number(least=1, most=6, whole=True)
JOBS: Final = Number(least=0, most=1_000_000, whole=True)
MINUTES: Final = Number(least=0, most=1440)
MASS_KG: Final = Number(least=0, most=40_000)
CAR_MASS_KG: Final = Number(above=0, most=40_000)
LENGTH_MM: Final = Number(above=0, most=20_000)
ARM_MM: Final = Number(least=-20_000, most=20_000)
LITRES: Final = Number(least=0, most=1000)
VOLTS: Final = Number(least=0, most=2000)
CHANCE: Final = Number(least=0, most=1)
PERCENT: Final = Number(above=0, most=100)
MONEY: Final = Number(least=0, most=10_000_000)
