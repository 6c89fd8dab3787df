"""Makes reference_python.json: `python reference.py` with prince 0.23.0 and scikit-learn 1.9.1 installed."""

import json
from pathlib import Path

import pandas
import prince
import sklearn
from sklearn.decomposition import PCA

HERE = Path(__file__).parent
wine = pandas.read_csv(HERE / "loire_wine.csv", index_col=0).iloc[:, 2:29].astype(float)
counts = pandas.read_csv(HERE / "bordeaux_counts.csv", index_col=0)

pca = PCA(n_components=5, svd_solver="full").fit(wine.to_numpy())
ca = prince.CA(n_components=3).fit(counts)
mfa = prince.PCA(n_components=5, rescale_with_mean=True, rescale_with_std=True).fit(wine)

out = {
    "made_with": f"scikit-learn {sklearn.__version__}, prince {prince.__version__}",
    "pca": {
        "call": "sklearn.decomposition.PCA(5, svd_solver='full').fit(wine[3:30]); variance divides by n - 1",
        "explained_variance": pca.explained_variance_.tolist(),
        "scores": pca.transform(wine.to_numpy()).tolist(),
    },
    "scaled": {
        "call": "prince.PCA(5, rescale_with_std=True).fit(wine[3:30])",
        "eigenvalues": mfa.eigenvalues_.tolist(),
        "scores": mfa.row_coordinates(wine).to_numpy().tolist(),
    },
    "ca": {
        "call": "prince.CA(3).fit(bordeaux_counts)",
        "eigenvalues": ca.eigenvalues_.tolist(),
        "rows": ca.row_coordinates(counts).to_numpy().tolist(),
        "columns": ca.column_coordinates(counts).to_numpy().tolist(),
    },
}
(HERE / "reference_python.json").write_text(json.dumps(out, indent=1), encoding="utf-8")
