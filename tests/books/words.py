"""Words that merchants put above columns, and invented names. Headers: common practice, several languages."""

LOT_HEADERS: dict[str, dict[str, tuple[str, ...]]] = {
    "code": {
        "en": ("Lot", "Code", "Lot no.", "Ref", "LOT CODE", "Sample", "lot #", "Our ref", "Sample no."),
        "de": ("Los", "Los-Nr.", "Code"),
        "fr": ("Lot", "N° de lot", "Réf."),
        "zh": ("編號", "批號", "代碼"),
        "zh_cn": ("编号", "批号", "代码"),
        "ja": ("ロット", "番号", "コード"),
    },
    "name": {
        "en": ("Tea", "Name", "Tea name", "What", "Description", "TEA"),
        "de": ("Tee", "Name", "Bezeichnung"),
        "fr": ("Thé", "Nom", "Nom du thé"),
        "zh": ("茶名", "品名"),
        "zh_cn": ("茶名", "品名"),
        "ja": ("茶名", "品名", "名称"),
    },
    "producer": {
        "en": ("Maker", "Producer", "Grower", "Farmer", "From whom", "Supplier", "Garden / maker", "Estate"),
        "de": ("Erzeuger", "Hersteller", "Produzent"),
        "fr": ("Producteur", "Fournisseur"),
        "zh": ("茶農", "製茶人"),
        "zh_cn": ("茶农", "制茶人"),
        "ja": ("生産者", "茶農家"),
    },
    "region": {
        "en": ("Where", "Region", "Origin", "Place", "District", "Area"),
        "de": ("Region", "Herkunft", "Anbaugebiet"),
        "fr": ("Région", "Origine", "Provenance"),
        "zh": ("產地", "地區"),
        "zh_cn": ("产地", "地区"),
        "ja": ("産地", "地域"),
    },
    "elev": {
        "en": ("Elev.", "Elevation", "Altitude", "Alt.", "Height"),
        "de": ("Höhe", "Höhenlage"),
        "fr": ("Altitude", "Alt."),
        "zh": ("海拔",),
        "zh_cn": ("海拔",),
        "ja": ("標高",),
    },
    "harvest": {
        "en": (
            "Picked",
            "Harvest",
            "Harvested",
            "Harvest date",
            "Plucked",
            "picking date",
            "Pick date",
            "Pluck",
        ),
        "de": ("Ernte", "Erntedatum", "Gepflückt"),
        "fr": ("Récolte", "Date de récolte", "Cueillette"),
        "zh": ("採收日期", "採摘"),
        "zh_cn": ("采摘日期", "采摘"),
        "ja": ("摘採日", "収穫日"),
    },
    "cv": {
        "en": ("Cv.", "Cultivar", "Variety", "Varietal", "Bush", "Clone"),
        "de": ("Sorte", "Kultivar"),
        "fr": ("Cultivar", "Variété"),
        "zh": ("品種",),
        "zh_cn": ("品种",),
        "ja": ("品種",),
    },
    "ox": {
        "en": ("Ox", "Oxidation", "Oxid.", "Ox.", "oxidised"),
        "de": ("Oxidation",),
        "fr": ("Oxydation",),
        "zh": ("發酵度",),
        "zh_cn": ("发酵度",),
        "ja": ("発酵度",),
    },
    "roast": {
        "en": ("Roast", "Fire", "Roast level", "Firing", "Roasting"),
        "de": ("Röstung",),
        "fr": ("Torréfaction",),
        "zh": ("焙火",),
        "zh_cn": ("焙火",),
        "ja": ("焙煎", "火入れ"),
    },
    "moq": {
        "en": ("MOQ", "Min. order", "Minimum", "min order", "Min", "Min qty"),
        "de": ("Mindestmenge",),
        "fr": ("Minimum", "Commande min."),
        "zh": ("最低訂量", "起訂量"),
        "zh_cn": ("起订量", "最低订量"),
        "ja": ("最低注文量",),
    },
    "avail": {
        "en": ("avail", "Available", "Qty available", "Stock", "On offer", "In stock", "How much"),
        "de": ("Menge", "Verfügbar", "Vorrat"),
        "fr": ("Quantité", "Disponible", "Stock"),
        "zh": ("庫存", "可供數量"),
        "zh_cn": ("库存", "可供数量"),
        "ja": ("在庫", "数量"),
    },
    "claims": {
        "en": ("What they say", "Claims", "Remarks", "Comments", "Notes from maker", "Remark", "They say"),
        "de": ("Bemerkung", "Angaben"),
        "fr": ("Remarques", "Commentaires"),
        "zh": ("備註", "說明"),
        "zh_cn": ("备注", "说明"),
        "ja": ("備考", "説明"),
    },
    "markup": {"en": ("our markup %", "Markup %", "mark-up %")},
    "grade": {"en": ("Grade", "GRADE"), "de": ("Grad",), "fr": ("Grade",), "zh": ("等級",), "ja": ("等級",)},
    "verdict": {"en": ("Verdict", "verdict", "Decision")},
    "liking": {"en": ("Liking", "liking", "Like", "How much I like it")},
    "words": {"en": ("Words", "three words", "In a word", "words")},
}

SCORE_HEADERS: dict[str, dict[str, tuple[str, ...]]] = {
    "taster": {
        "en": ("Taster", "Who", "By", "Panelist", "TASTER", "Tasted by", "Assessor"),
        "de": ("Verkoster", "Prüfer"),
        "fr": ("Dégustateur",),
        "zh": ("評茶員", "品評人"),
        "zh_cn": ("评茶员", "品评人"),
        "ja": ("審査員", "評価者"),
    },
    "sample": {
        "en": ("Sample", "Lot", "Code", "Cup", "Tea", "SAMPLE", "Sample code"),
        "de": ("Probe", "Muster"),
        "fr": ("Échantillon",),
        "zh": ("樣品", "茶樣"),
        "zh_cn": ("样品", "茶样"),
        "ja": ("サンプル", "試料"),
    },
    "attribute": {
        "en": ("Attribute", "What", "Descriptor", "Attr.", "Character", "Term"),
        "de": ("Merkmal",),
        "fr": ("Attribut", "Descripteur"),
        "zh": ("項目", "屬性"),
        "zh_cn": ("项目", "属性"),
        "ja": ("項目", "特性"),
    },
    "score": {
        "en": ("Score", "Mark", "Points", "Value", "Intensity", "Rating", "SCORE"),
        "de": ("Punkte", "Note", "Wert"),
        "fr": ("Note", "Valeur"),
        "zh": ("分數", "評分"),
        "zh_cn": ("分数", "评分"),
        "ja": ("点数", "評点"),
    },
    "replicate": {
        "en": ("Rep.", "Rep", "Replicate", "Pot", "rep no", "Pot no."),
        "de": ("Wdh.",),
        "fr": ("Rép.",),
        "zh": ("重複",),
        "zh_cn": ("重复",),
        "ja": ("反復",),
    },
    "session": {
        "en": ("Date", "Session", "Sitting", "Day"),
        "de": ("Datum",),
        "fr": ("Séance", "Date"),
        "zh": ("日期",),
        "zh_cn": ("日期",),
        "ja": ("日付",),
    },
    "note": {
        "en": ("Notes", "Note", "Comment", "Words", "Comments"),
        "de": ("Bemerkung", "Notiz"),
        "fr": ("Remarque", "Notes"),
        "zh": ("備註",),
        "zh_cn": ("备注",),
        "ja": ("備考", "メモ"),
    },
}

STAGES: dict[str, dict[str, tuple[str, ...]]] = {
    "en": {
        "Dry leaf": ("Appearance", "Dry aroma", "Evenness"),
        "Liquor": ("Colour", "Clarity", "Brightness"),
        "Aroma": ("Floral", "Roast", "Fruit", "Green", "Nutty", "Malt"),
        "Taste": ("Sweetness", "Bitterness", "Astringency", "Body", "Umami", "Briskness"),
        "Finish": ("Length", "Returning sweet"),
        "Overall": ("Overall",),
    },
    "de": {
        "Aroma": ("Blumig", "Röstung", "Frucht"),
        "Geschmack": ("Süße", "Bitterkeit", "Adstringenz", "Körper"),
        "Gesamt": ("Gesamteindruck",),
    },
    "fr": {
        "Arôme": ("Floral", "Torréfié", "Fruité"),
        "Goût": ("Douceur", "Amertume", "Astringence", "Corps"),
        "Ensemble": ("Note globale",),
    },
    "zh": {"香氣": ("花香", "焙火香", "果香"), "滋味": ("甜度", "苦味", "澀感", "厚度"), "總評": ("整體",)},
    "zh_cn": {
        "香气": ("花香", "焙火香", "果香"),
        "滋味": ("甜度", "苦味", "涩感", "厚度"),
        "总评": ("整体",),
    },
    "ja": {"香り": ("花香", "火香", "果実香"), "味": ("甘味", "苦味", "渋味", "コク"), "総合": ("総合評価",)},
}

TASTERS: dict[str, tuple[str, ...]] = {
    "en": (
        "Mei",
        "Tomás",
        "Ruth",
        "Anneke",
        "Björn",
        "Chloé",
        "Davit",
        "Ifeoma",
        "Noor",
        "Zoë",
        "Łukasz",
        "Gwen",
    ),
    "de": ("Jürgen", "Katrin", "Björn", "Annegret", "Zoë", "Matthias"),
    "fr": ("Chloé", "Rémi", "Solène", "Gaëlle", "Benoît", "Yves"),
    "zh": ("淑芬", "志明", "美玲", "建宏"),
    "zh_cn": ("淑芳", "志强", "小燕", "建国"),
    "ja": ("佐知子", "健太", "美咲", "浩"),
}

SURNAME_INITIALS = "KPBDHV"

FIRST = (
    "Frost",
    "Mist",
    "Quarry",
    "Saddle",
    "Tin",
    "Fern",
    "Lantern",
    "Otter",
    "Heron",
    "Slate",
    "Bramble",
    "Kestrel",
)
SECOND = ("hollow", "trail", "pond", "back", "gate", "low", "well", "brook", "mere", "ridge", "field", "moor")

PEOPLE: dict[str, tuple[str, ...]] = {
    "Taiwan": ("Old Hsieh", "Lin Wen-Chuan", "Chang family", "Madam Yeh", "Brothers Wu", "Tseng & son"),
    "China": ("Auntie Fang", "Zheng workshop", "Old Pan", "Cousins Lu", "Master Ke", "Xiao He"),
    "Japan": ("Kobori farm", "Tanabe-en", "Mrs Isogai", "Hayami brothers", "Ozu co-op", "Nagase"),
    "India": (
        "Rai & daughters",
        "Upper Saddle Estate",
        "Thapa cousins",
        "Lower Fern Estate",
        "Miss Pradhan",
        "Subba & co",
    ),
    "Sri Lanka": (
        "Heron Estate",
        "Dalu Watta",
        "Perera plot",
        "Upper Mist Division",
        "Silva & sons",
        "Kande",
    ),
}

CLAIMS = (
    "hand picked, charcoal 3 rounds",
    "no pesticide since 2019 (says maker)",
    "'organic' – no certificate seen",
    "one day's picking",
    "bug-bitten; wild-ish plot",
    "machine cut, re-sorted",
    "shade grown 3 weeks",
    "old bushes, low yield",
    "second firing in June",
    "sample was in a tin; smelled of tin",
)

NOTES = (
    "orchid, warm stone; a little grassy at the end",
    "thin. gone by the third steep",
    "would buy, if cheaper",
    "roasted chestnut, honey; charcoal still on top",
    "lily, cold butter, very clean",
    "green grape, muscat, drying",
    "malt, plum skin, a bit flat",
    "seaweed, sweet pea, bright",
    "wet slate, orange peel",
    "baked bread; metallic in the middle",
)

WORDS = (
    "honey, plum, long",
    "grass, thin, short",
    "lily, butter, clean",
    "malt; brisk; drying",
    "smoke, tar, resin",
    "peach, soft, sweet",
    "flat, stale, papery",
    "orchid, cool, mineral",
)

CJK_NAMES: dict[str, tuple[str, ...]] = {
    "zh": (
        "霜谷凍頂烏龍",
        "霧徑高山茶",
        "石塘紅茶",
        "松林包種",
        "溪畔金萱",
        "燈下老茶",
        "鷺湖翠玉",
        "竹坪烏龍",
    ),
    "zh_cn": (
        "霜谷铁观音",
        "雾径岩茶",
        "石塘红茶",
        "松林白茶",
        "溪畔肉桂",
        "灯下老茶",
        "鹭湖水仙",
        "竹坪绿茶",
    ),
    "ja": (
        "霜谷煎茶",
        "霧の道玉露",
        "石池かぶせ茶",
        "松林番茶",
        "川辺ほうじ茶",
        "灯台釜炒り茶",
        "鷺沼抹茶",
        "竹原紅茶",
    ),
}
CJK_PEOPLE: dict[str, tuple[str, ...]] = {
    "zh": ("林家茶園", "老謝", "張家", "葉女士", "吳氏兄弟"),
    "zh_cn": ("方姨", "郑家作坊", "老潘", "陆家", "何师傅"),
    "ja": ("小堀農園", "田辺園", "磯貝製茶", "速水兄弟", "大津組合"),
}
CJK_CLAIMS: dict[str, tuple[str, ...]] = {
    "zh": ("手採,炭焙三次", "無農藥(自述)", "小綠葉蟬叮咬", "一日所採"),
    "zh_cn": ("手采,炭焙三次", "无农药(自述)", "一日所采", "老丛,产量低"),
    "ja": ("手摘み、覆い三週間", "無農薬(自己申告)", "一日分の摘み", "古木、収量少"),
}
