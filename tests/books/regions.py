"""Origins a book is about: districts with safe heights and picking times, cultivars, money, a jin's weight.

Districts, heights and windows lie inside the ranges of the trade tables (`origins.csv`), so that no fact
is doubtful for its district; a jin is 600 g in Taiwan and 500 g on the mainland (common practice).
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class District:
    """A real district, heights in metres, months when it is picked."""

    name: str
    low_m: int
    high_m: int
    months: tuple[int, int]
    cultivars: tuple[str, ...]


@dataclass(frozen=True)
class Origin:
    """A country as one buyer's book sees it."""

    name: str
    currency: str
    signs: tuple[str, ...]
    per_kg: tuple[int, int]
    districts: tuple[District, ...]
    jin_grams: int = 0
    local_names: dict[str, tuple[str, ...]] | None = None


TAIWAN = Origin(
    "Taiwan",
    "TWD",
    ("NT$", "NTD", "TWD"),
    (900, 6000),
    (
        District("Lugu, Nantou", 550, 780, (4, 5), ("Qingxin", "Jin Xuan", "Cui Yu")),
        District("Alishan", 900, 1500, (4, 5), ("Qingxin", "Jin Xuan")),
        District("Lishan", 1600, 2400, (5, 5), ("Qingxin",)),
        District("Pinglin", 250, 700, (4, 5), ("Qingxin", "Cui Yu")),
        District("Yuchi", 620, 780, (5, 6), ("TTES #18", "TTES #8", "TTES #21")),
    ),
    600,
    {"zh": ("鹿谷", "阿里山", "梨山", "坪林", "魚池")},
)
CHINA = Origin(
    "China",
    "CNY",
    ("RMB", "CNY", "¥"),
    (200, 3000),
    (
        District("Anxi, Fujian", 350, 900, (4, 5), ("Tie Guan Yin", "Huang Dan", "Ben Shan")),
        District("Wuyishan, Fujian", 250, 700, (4, 5), ("Rou Gui", "Shui Xian")),
        District("Fuding, Fujian", 300, 900, (3, 5), ("Fuding Da Bai", "Da Hao")),
    ),
    500,
    {"zh_cn": ("福建安溪", "福建武夷山", "福建福鼎"), "zh": ("福建安溪", "福建武夷山", "福建福鼎")},
)
JAPAN = Origin(
    "Japan",
    "JPY",
    ("JPY", "¥", "yen"),
    (3000, 30000),
    (
        District("Uji, Kyoto", 60, 300, (5, 5), ("Yabukita", "Okumidori", "Samidori")),
        District("Yame, Fukuoka", 120, 500, (5, 5), ("Yabukita", "Saemidori", "Okumidori")),
        District("Shizuoka", 150, 600, (5, 5), ("Yabukita", "Tsuyuhikari")),
    ),
    0,
    {"ja": ("京都府宇治", "福岡県八女", "静岡")},
)
DARJEELING = Origin(
    "India",
    "INR",
    ("Rs", "INR", "Rs."),
    (900, 9000),
    (
        District("Kurseong, Darjeeling", 900, 1700, (3, 6), ("AV2", "P312", "China bush")),
        District("Mirik, Darjeeling", 1200, 1900, (3, 6), ("AV2", "B157")),
        District("Darjeeling", 1000, 1900, (3, 6), ("AV2", "Phoobsering 312", "China")),
    ),
)
CEYLON = Origin(
    "Sri Lanka",
    "USD",
    ("US$", "USD"),
    (8, 60),
    (
        District("Nuwara Eliya", 1850, 2050, (1, 3), ("TRI 2025", "DT1", "TRI 2026")),
        District("Dimbula", 1200, 1600, (1, 3), ("TRI 2025", "TRI 4042")),
        District("Uva", 1000, 1500, (7, 9), ("TRI 2025", "DT1")),
    ),
)
ORIGINS = (TAIWAN, CHINA, JAPAN, DARJEELING, CEYLON)
