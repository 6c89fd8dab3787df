"""Headers that fewer merchants use (common practice, English): readable by what stands under them."""

RARE_HEADERS: dict[str, tuple[str, ...]] = {
    "code": ("ID", "Tea no.", "Item no.", "Parcel", "Lot ID", "Reference", "Tea code"),
    "name": ("Product", "Item", "Leaf", "Tea / style", "Title", "Name of tea"),
    "producer": ("Made by", "Farm", "Garden", "Vendor", "Seller", "Source", "Bought from", "Who made it"),
    "region": ("Village", "Location", "Province", "County", "Terroir", "From where", "Growing area"),
    "elev": ("Height above sea", "Garden height", "elevation a.s.l.", "How high", "Alt"),
    "harvest": (
        "Date of harvest",
        "Plucking",
        "Plucked on",
        "When picked",
        "Crop date",
        "Pick",
        "harvest day",
    ),
    "cv": ("Cultivar / var.", "Plant", "Cultivars", "Tea bush", "Bush type"),
    "ox": ("Fermentation", "Ferment.", "oxidation level", "Oxi"),
    "roast": ("Baking", "Roast degree", "Roasted?", "Bake"),
    "moq": ("Minimum order", "Smallest order", "Least they sell", "Min. qty", "Minimum qty"),
    "avail": ("Volume", "Lot size", "They have", "Quantity", "Amount", "Total available", "Weight left"),
    "claims": ("Story", "Info", "About", "Supplier says", "Sales talk", "Seller's notes"),
    "verdict": ("My verdict", "Keep?", "Yes / no", "Buy?"),
    "liking": ("My liking", "How good", "Pleasure", "Enjoyment"),
    "words": ("First words", "My words", "In three words", "Impression"),
}
RARE_SCORE_HEADERS: dict[str, tuple[str, ...]] = {
    "taster": ("Person", "Judge", "Palate", "Name", "Panellist", "Drinker"),
    "sample": ("Tea code", "Cup no.", "Ref", "Sample #", "Lot code", "Tea sample"),
    "attribute": ("Quality", "Property", "Criterion", "Aspect", "Parameter", "Trait"),
    "score": ("Strength", "Level", "Result", "Given", "How much", "Scored"),
    "replicate": ("Run", "Round", "Repeat", "Repl."),
    "session": ("Tasted", "Tasting date", "When"),
    "note": ("Remarks", "Thoughts", "Impressions", "Said"),
}
RARE_PRICE_SHAPES = (
    *(
        "{s} / {u}",
        "Price in {s} per {u}",
        "{s} per {u}",
        "Offer ({s} per {u})",
        "{u} price {s}",
        "Quote, {s} a {u}",
    ),
    *("Price, {s}/{u}", "What they ask ({s}/{u})"),
)
