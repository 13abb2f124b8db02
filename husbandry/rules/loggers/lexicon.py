"""Words that loggers' files are written with, in the languages of their makers.

Languages: English, German, French, Spanish, Italian, Dutch, Portuguese, Polish,
Czech, Swedish; for the halves of the day also Greek, Korean, Chinese, Japanese and
Hungarian. All texts here are casefolded and without accents. From memory, no source.
"""

STAMP_WORDS = frozenset(
    [
        "date",
        "datum",
        "fecha",
        "data",
        "dato",
        "dag",
        "dia",
        "tag",
        "jour",
        "giorno",
        "day",
        "time",
        "zeit",
        "uhrzeit",
        "heure",
        "hora",
        "ora",
        "tijd",
        "tijdstip",
        "czas",
        "godzina",
        "cas",
        "tid",
        "klockslag",
        "hour",
        "timestamp",
        "datetime",
        "zeitstempel",
        "horodatage",
        "horodate",
        "zeitpunkt",
        "messzeit",
        "datahora",
        "fechahora",
        "dateheure",
        "datumzeit",
        "datumtijd",
        "dateandtime",
        "datetimestamp",
    ]
)
CLOCK_WORDS = frozenset(
    [
        "time",
        "zeit",
        "uhrzeit",
        "heure",
        "hora",
        "ora",
        "tijd",
        "czas",
        "godzina",
        "cas",
        "tid",
        "klockslag",
        "hour",
    ]
)
NOT_A_STAMP = frozenset(
    [
        "elapsed",
        "interval",
        "duration",
        "laufzeit",
        "dauer",
        "running",
        "ecoule",
        "intervalle",
        "intervallo",
        "intervalo",
        "light",
        "sunrise",
        "sunset",
        "calibration",
        "kalibrierung",
        "s",
        "sec",
        "seconds",
        "ms",
    ]
)

TEMPERATURE_STEMS = ("temperat", "teplot", "temperatuur")
TEMPERATURE_WORDS = frozenset(
    [
        "temp",
        "temps",
        "tmp",
        "tempc",
        "tempf",
        "celsius",
        "fahrenheit",
        "t1",
        "t2",
        "t3",
        "t4",
    ]
)
HUMIDITY_STEMS = (
    "humid", "feucht", "umid", "vochtig", "wilgotn", "vlhkost", "fuktighet", "humedad",
)  # fmt: skip
HUMIDITY_WORDS = frozenset(
    [
        "hum",
        "rh",
        "rf",
        "hr",
        "ur",
        "rv",
        "hygrometrie",
        "fukt",
        "rh1",
        "rh2",
        "rh3",
        "rh4",
    ]
)
UV_WORDS = frozenset(["uvi", "uvindex", "uviindex", "indiceuv"])
UV_INDEX_WORDS = frozenset(["index", "indice", "indeks", "indexu"])

# Another quantity, or a figure about the quantity, though the header names it.
DERIVED_STEMS = (
    "dew", "taupunkt", "rosee", "rocio", "rugiada", "dauwpunt", "orvalho", "rosy",
    "daggpunkt", "ratio", "absol", "setpoint", "sollwert", "alarm", "specific",
    "wetbulb", "feuchtkugel", "heatindex", "windchill", "battery", "batterie",
)  # fmt: skip
DERIVED_WORDS = frozenset(
    [
        "min",
        "max",
        "minimum",
        "maximum",
        "low",
        "high",
        "limit",
        "feels",
        "wet",
        "bulb",
        "heat",
        "target",
        "soll",
        "ah",
        "offset",
        "stdev",
        "deviation",
    ]
)

CHANNEL_WORDS = frozenset(
    [
        "channel",
        "kanal",
        "canal",
        "canale",
        "kanaal",
        "sensor",
        "capteur",
        "sonda",
        "sonde",
        "probe",
        "fuhler",
        "fuehler",
        "logger",
        "device",
        "gerat",
        "geraet",
        "appareil",
        "dispositivo",
        "serial",
        "seriennummer",
        "serie",
        "location",
        "ort",
        "standort",
        "emplacement",
        "lugar",
        "luogo",
        "plaats",
        "miejsce",
        "misto",
        "plats",
        "czujnik",
        "cidlo",
        "givare",
    ]
)
INDEX_WORDS = frozenset(
    [
        "no",
        "nr",
        "n",
        "num",
        "number",
        "index",
        "record",
        "id",
        "lp",
        "row",
        "sample",
        "zeile",
        "nummer",
        "numero",
        "recno",
        "entry",
    ]
)
NO_LABEL_WORDS = frozenset(
    [
        "relative",
        "relativ",
        "rel",
        "air",
        "luft",
        "luftfeuchte",
        "luftfeuchtigkeit",
        "luftfeuchtigkeit",
        "de",
        "of",
        "the",
        "wzgledna",
        "relativni",
        "relativa",
        "relatieve",
        "deg",
        "degrees",
        "degree",
        "c",
        "f",
        "grad",
    ]
)
UNIT_WORDS = frozenset(
    ["unit", "units", "einheit", "unite", "unidad", "unita", "eenheid", "unidade"]
)
ZONE_WORDS = frozenset(
    [
        "zone",
        "timezone",
        "zeitzone",
        "fuseau",
        "zona",
        "fuso",
        "tijdzone",
        "strefa",
        "tz",
        "utc",
        "gmt",
    ]
)

MISSING_WORDS = frozenset(
    [
        "-",
        "--",
        "---",
        "----",
        ".",
        "..",
        "...",
        "*",
        "**",
        "***",
        "?",
        "??",
        "na",
        "n/a",
        "nan",
        "null",
        "none",
        "nil",
        "#n/a",
        "#na",
        "#null!",
        "ol",
        "err",
        "error",
        "err.",
        "fault",
        "fehler",
        "open",
        "off",
        "overflow",
        "underflow",
        "void",
        "invalid",
        "missing",
        "disconnected",
        "-inf",
        "inf",
        "+inf",
    ]
)
"""What stands where a number would, when there was none."""

SENTINELS = (
    "-200", "-100", "-127", "-273.15", "-999", "-999.9", "-9999", "-9999.9",
    "999", "999.9", "9999", "9999.9", "32767", "-32768", "65535", "6553.5",
)  # fmt: skip
"""Numbers that mean "no value". None lies in the range that can be stored, so
treating one as missing never loses a measurement."""

AM_WORDS = frozenset(
    [
        "am",
        "a",
        "vorm",
        "vormittags",
        "matin",
        "mattina",
        "manana",
        "dop",
        "fm",
        "πμ",
        "오전",
        "上午",
        "午前",
        "de",
        "dopoledne",
    ]
)
PM_WORDS = frozenset(
    [
        "pm",
        "p",
        "nachm",
        "nachmittags",
        "soir",
        "pomeriggio",
        "tarde",
        "odp",
        "em",
        "μμ",
        "오후",
        "下午",
        "午後",
        "du",
        "odpoledne",
    ]
)
CLOCK_FILLERS = frozenset(["uhr", "h", "hrs", "uur", "heures", "h.", "godz", "klo"])

MONTHS = (
    ("january januar janvier enero gennaio januari janeiro styczen stycznia leden ledna"),
    ("february februar fevrier febrero febbraio februari fevereiro luty lutego unor unora"),
    ("march marz mars marzo maart marco marzec marca brezen brezna mrt maerz"),
    ("april avril abril aprile kwiecien kwietnia duben dubna"),
    ("may mai mayo maggio mei maio maj maja kveten kvetna"),
    ("june juni juin junio giugno junho czerwiec czerwca cerven cervna"),
    ("july juli juillet julio luglio julho lipiec lipca cervenec cervence"),
    ("august aout agosto augustus sierpien sierpnia srpen srpna augusti"),
    ("september septembre septiembre settembre setembro wrzesien wrzesnia zari"),
    ("october oktober octobre octubre ottobre outubro pazdziernik pazdziernika rijen rijna"),
    ("november novembre noviembre novembro listopad listopada"),
    ("december dezember decembre diciembre dicembre dezembro grudzien grudnia prosinec prosince"),
)  # fmt: skip

# Abbreviations that mean one offset wherever they are used.
ZONE_OFFSETS = {
    "UTC": "+00:00", "GMT": "+00:00", "WET": "+00:00", "WEST": "+01:00",
    "CET": "+01:00", "MEZ": "+01:00", "CEST": "+02:00", "MESZ": "+02:00",
    "EET": "+02:00", "EEST": "+03:00", "EDT": "-04:00", "CDT": "-05:00",
    "MDT": "-06:00", "PDT": "-07:00", "AKST": "-09:00", "AKDT": "-08:00",
    "AEST": "+10:00", "AEDT": "+11:00", "ACST": "+09:30", "ACDT": "+10:30",
    "AWST": "+08:00", "NZST": "+12:00", "NZDT": "+13:00", "SAST": "+02:00",
    "JST": "+09:00",
}  # fmt: skip
# Abbreviations that mean different offsets in different countries: asked for.
UNCLEAR_ZONES = frozenset(("EST", "CST", "MST", "PST", "IST", "BST", "AST", "SST"))
