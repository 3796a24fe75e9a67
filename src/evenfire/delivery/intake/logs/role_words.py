"""The words by which headers in four languages tell what a column is; a table, to be read as one.

Headers are folded first: no case, no accents, single blanks for marks. Each role has patterns that are sure, patterns
that hold only together with a fitting unit, and words that speak against it.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from evenfire.delivery.intake.logs.wishes import Role


@dataclass(frozen=True, slots=True)
class Words:
    """Patterns of one role."""

    sure: re.Pattern[str]
    likely: re.Pattern[str]
    against: re.Pattern[str]


_STEAM: Final = r"(steam|dampf|vapeur|vapor)"
_FEED: Final = r"(feed|speise|alimentation|alimentaire|alimentacion|\baliment\b)"
_FLOW: Final = r"(flow|rate|menge|strom|durchfluss|durchsatz|debit|caudal|flujo|gasto|production|produccion|leistung)"
_BURNER: Final = r"(burner|brenner|bruleur|quemador|feuerung)"
_FUEL: Final = (
    r"(fuel|\bgas\b|natural gas|erdgas|brennstoff|combustible|\boil\b|heizol|heizoel|\bol\b|gaz naturel|\bgaz\b|fioul"
    r"|mazout|gasoil|gasoleo|gasverbrauch|gasmenge|olmenge|olverbrauch)"
)
_SET: Final = (
    r"set ?point|\bsp\b|sollwert|\bsoll\b|consigne|\bset\b|alarm|grenzwert|limit|\bmax\b|\bmin\b|average|mittelwert|"
    r"moyenne|promedio|\bstarts?\b"
)
_TEMPERATURE: Final = r"temp|\bgrad\b"
_HOURS: Final = r"hour|stunden|sekunden|heures|horas|run ?time|laufzeit|\bstarts?\b|count|zahler|compteur|contador"


def _words(sure: str, likely: str, against: str) -> Words:
    return Words(re.compile(sure), re.compile(likely), re.compile(against))


WORDS: Final[Mapping[Role, Words]] = {
    Role.PRESSURE: _words(
        rf"({_STEAM}|boiler|drum|kessel|trommel)[a-z ]*(pressure|press\b|druck)|(pression|presion)[a-z ]*"
        rf"({_STEAM}|chaudiere|caldera|ballon)|header pressure",
        r"pressure|druck|pression|presion|\bpress\b|\bp (steam|boiler|drum)\b",
        rf"{_FEED}|fuel|\bgas\b|\bgaz\b|brenn|furnace|draft|draught|feuerraum|tirage|hogar|\boil\b|atomi|\bair\b|luft|aire"
        rf"|water|wasser|\bagua\b|\beau\b|diff|delta|suction|discharge|pump|atmos|baro|ambient|{_SET}|{_TEMPERATURE}"
        r"|ausdruck|drucker",
    ),
    Role.FIRING: _words(
        rf"firing|fire rate|modulation|modulacion|brennerleistung|brennerlast|laststellung|stellgrad|feuerungsleistung"
        rf"|{_BURNER}[a-z ]*(output|load|demand|position|leistung|last|stellung|charge|puissance|allure|carga|potencia)"
        rf"|(charge|puissance|allure|carga|potencia|position)[a-z ]*{_BURNER}",
        rf"{_BURNER}",
        rf"{_HOURS}|flame|flamm|llama|fault|storung|defaut|fallo|{_SET}|{_TEMPERATURE}|pressure|druck",
    ),
    Role.FLAME: _words(
        rf"flame|flamme|flamm|llama|{_BURNER}[a-z ]*(on|ein|an|status|state|run|running|betrieb|lauft|marche|etat"
        rf"|encendido|marcha|estado)\b|(marche|etat|estado|marcha)[a-z ]*{_BURNER}",
        r"fire on|firing on",
        rf"{_HOURS}|{_TEMPERATURE}|fail|fault|storung|ausfall|defaut|fallo|speed|modulation",
    ),
    Role.STEAM_FLOW: _words(
        rf"{_STEAM}[a-z ]*{_FLOW}|{_FLOW}[a-z ]*{_STEAM}",
        rf"^{_STEAM}$|{_STEAM} (out|output|make|load|total)|{_STEAM}[a-z]*last",
        rf"{_FEED}|{_TEMPERATURE}|pressure|druck|pression|presion|valve|ventil|{_SET}|frac|injection",
    ),
    Role.FEED_FLOW: _words(
        rf"{_FEED}[a-z ]*{_FLOW}|{_FLOW}[a-z ]*{_FEED}",
        rf"{_FEED}",
        rf"{_TEMPERATURE}|pump|pompe|bomba|tank|behalter|bache|deposito|pressure|druck|pression|presion|valve|ventil"
        rf"|vanne|valvula|{_SET}",
    ),
    Role.FEED_PUMP: _words(
        rf"{_FEED}[a-z ]*(pump|pompe|bomba)|(pompe|bomba)[a-z ]*{_FEED}|\bfw ?pump",
        r"\bpump( on| run| status| running)?\b|^pumpe$|^pompe$|^bomba$",
        rf"pressure|druck|pression|presion|{_HOURS}|fault|storung|defaut|fallo|oil|fuel|{_TEMPERATURE}|current|amp",
    ),
    Role.FUEL: _words(
        rf"{_FUEL}[a-z ]*({_FLOW}|verbrauch|consumption|input|conso|consumo)"
        rf"|({_FLOW}|consommation|consumo)[a-z ]*{_FUEL}|gasverbrauch|gasmenge|olmenge|olverbrauch",
        rf"{_FUEL}",
        rf"{_TEMPERATURE}|pressure|druck|pression|presion|flue|abgas|fumee|humo|valve|ventil|vanne|valvula|oxygen|stack"
        rf"|\bmix\b|total|{_SET}|{_HOURS}",
    ),
    Role.LEVEL: _words(
        r"(water|boiler|drum|kessel)[a-z ]*(level|niveau)|wasserstand|fullstand|fuellstand|niveau (d )?eau"
        r"|niveau[a-z ]*(chaudiere|ballon)|nivel[a-z ]*(agua|caldera)",
        r"\blevel\b|niveau|\bnivel\b|pegel",
        rf"tank|behalter|bache|deposito|\blow\b|\bhigh\b|cut ?off|oil|fuel|{_SET}|{_TEMPERATURE}",
    ),
    Role.STEAM_TEMPERATURE: _words(
        rf"{_STEAM}[a-z ]*temp|temp[a-z ]*{_STEAM}",
        r"(?!)",
        rf"{_FEED}|{_SET}|flow|menge|economi|super ?heat|uberhitz",
    ),
    Role.RUN_TIME: _words(
        rf"{_BURNER}[a-z ]*(hours|run ?time|stunden|laufzeit|heures|horas)|(hours|heures|horas)[a-z ]*{_BURNER}",
        r"betriebsstunden|betriebssekunden|hours run|run ?hours|heures de marche|horas de funcionamiento|\brun (s|h)\b",
        r"pump|pumpe|pompe|bomba",
    ),
}
