"""Every publication that evenfire leans on, once.

``READ`` means we had the publication open; ``MEMORY`` means that its content is remembered and must be confirmed in
the adopted edition before anybody relies on it.
"""

from dataclasses import dataclass
from enum import Enum


class Reading(Enum):
    """How well we know what a publication says."""

    READ = "read"
    MEMORY = "from memory"


@dataclass(frozen=True, slots=True)
class Source:
    """A publication."""

    key: str
    title: str
    reading: Reading = Reading.READ


@dataclass(frozen=True, slots=True)
class Citation:
    """A place in a publication."""

    source: Source
    place: str = ""


ASTROM_BELL = Source("ASTROM-BELL", "K. J. Astrom and R. D. Bell, Drum-boiler dynamics, Automatica 36 (2000) 363-378")
ANCHORAGE = Source("ANCH", "Anchorage Municipal Code 23.20, table 1006.7")
API_520 = Source("API-520", "API Standard 520, part I, sizing of pressure-relieving devices")
ASME_II_D = Source("ASME-II-D", "ASME BPVC section II part D, material properties, table TM-1", Reading.MEMORY)
ASME_VII = Source("ASME-VII", "ASME BPVC section VII, recommended care of power boilers", Reading.MEMORY)
ASME_VIII_11 = Source("ASME-VIII-11", "ASME BPVC section VIII division 1, appendix 11, capacity conversions")
BPVC_IV = Source("BPVC-IV", "ASME BPVC section IV, heating boilers, HG-605", Reading.MEMORY)
COLORADO = Source("COLO", "Colorado Revised Statutes 9-4-114")
CONNECTICUT = Source("CONN", "Regulations of Connecticut State Agencies 29-232-62")
CSD_1 = Source("CSD-1", "ASME CSD-1, controls and safety devices for automatically fired boilers", Reading.MEMORY)
DOE_1013 = Source("DOE-1013", "DOE-HDBK-1013/2-92, Instrumentation and Control, volume 2, process controls")
DOE_TIP_9 = Source("DOE-TIP-9", "US DOE steam tip sheet 9, minimize boiler blowdown")
DOE_TIP_12 = Source("DOE-TIP-12", "US DOE steam tip sheet 12, flash high-pressure condensate")
DOE_TIP_15 = Source("DOE-TIP-15", "US DOE steam tip sheet 15, benchmark the fuel cost of steam generation")
DOE_TIP_16 = Source("DOE-TIP-16", "US DOE steam tip sheet 16, minimize boiler short-cycling losses")
EN_12952_3 = Source("EN-12952-3", "EN 12952-3, water-tube boilers, design and calculation", Reading.MEMORY)
EN_12953_6 = Source("EN-12953-6", "EN 12953-6, shell boilers, requirements for equipment")
EN_1993_1_2 = Source("EN-1993-1-2", "EN 1993-1-2, steel structures in fire, clause 3.4.1", Reading.MEMORY)
IAPWS_R7 = Source("IAPWS-R7", "IAPWS R7-97(2012), industrial formulation 1997 for water and steam")
IOWA = Source("IOWA", "Iowa Administrative Code 875-92.7")
JAWAD_FARR = Source("JAWAD-FARR", "M. H. Jawad and J. R. Farr, text on the design of pressure vessels")
JCGM_100 = Source("JCGM-100", "JCGM 100:2008, Guide to the expression of uncertainty in measurement", Reading.MEMORY)
JCGM_106 = Source(
    "JCGM-106", "JCGM 106:2012, The role of measurement uncertainty in conformity assessment", Reading.MEMORY
)
MARYLAND = Source("MD-12", "COMAR 09.12.01.11")
MARKS_DAVIS = Source("HB1919-23", "Marks and Davis 1909, as table 23 of Steam: Its Generation and Use, 35th ed.")
MIL_1003_3 = Source("MIL-1003-3", "MIL-HDBK-1003/3, heating, ventilating, air conditioning")
MODELICA_BUILDINGS = Source(
    "MODELICA-BUILDINGS",
    "Modelica Buildings Library, measured data of a campus steam boiler, a quarter of a year at 15 min (open data)",
)
NATIONAL_BOARD = Source("NBCC", "National Board, determination of certified relieving capacities")
NATIONAL_BOARD_ADVICE = Source(
    "NB-ADVICE", "National Board, advice to owners on how often safety valves are tested", Reading.MEMORY
)
NAVEDTRA = Source("NAVY", "US Navy training manual NAVEDTRA 14259, p. 236")
NEW_YORK = Source("NY-4", "12 NYCRR 4-5.2 and 4-5.5")
NFPA_85 = Source("NFPA-85", "NFPA 85, boiler and combustion systems hazards code", Reading.MEMORY)
NREL_SWS = Source("NREL", "NREL Standard Work Specifications 5.3102.21")
OKLAHOMA = Source("OKLA", "Oklahoma Administrative Code 380:25-5-10")
STEAM_1919 = Source("HB1919", "Steam: Its Generation and Use, 35th ed., 1919 (public domain)")
STRITTI = Source(
    "STRITTI", "stritti, thermal-solar-plant-dataset, relay log of a heating controller at 1 min (open data)"
)
TIMOSHENKO_GOODIER = Source(
    "TIMOSHENKO-GOODIER", "S. P. Timoshenko and J. N. Goodier, Theory of Elasticity", Reading.MEMORY
)
TRD_301 = Source("TRD-301", "TRD 301, cylindrical shells under internal pressure", Reading.MEMORY)
UFC_3_430 = Source("UFC", "UFC 3-430-07 (2003), operation and maintenance of boilers")
US_46CFR61 = Source("46CFR61", "46 CFR 61.35")
US_46CFR62 = Source("46CFR62", "46 CFR 62.35-20")
VALVE_HANDBOOK = Source("VSH", "Valve Selection Handbook, appendix on section I set-pressure tolerances")

ALL: tuple[Source, ...] = tuple(
    sorted((value for value in list(globals().values()) if isinstance(value, Source)), key=lambda source: source.key)
)
