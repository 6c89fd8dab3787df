"""wetleaf: a bench for a specialist tea buyer, from a season's samples to a decision for every lot.

The house has three floors (docs/explanation/architecture.md tells more):

1. what the trade knows, with no framework: `trade`, `numerics`, `wording`;
2. the steps, Django apps in the order of the job: `people`, `lots`, `flights`, `sheets`, `findings`;
3. the faces: `cli` and `site`, which call the steps and compute nothing.

A step may look back along the line, never forward; import-linter holds it to that.
"""

__version__ = "0.1.0"
