"""The one way a model is given to the solver: what the solver stumbles over is left out."""

from __future__ import annotations

from ortools.sat.python import cp_model


def solved(
    solver: cp_model.CpSolver,
    model: cp_model.CpModel,
    watcher: cp_model.CpSolverSolutionCallback | None = None,
) -> cp_model.CpSolverStatus:
    """Solve a model; again as it is written, without a hint, where OR-Tools 9.15 ends with an error.

    While it simplifies a model it carries the hint along, and may look for a value that is no longer in a
    variable's domain (`absl::btree_map::at`; github.com/google/or-tools, issues 5091 and 5288). Neither the
    hint nor what is made simpler changes which solutions there are, so that what is proven stays proven.
    """
    try:
        return solver.solve(model, watcher)
    except IndexError:
        bare = model.clone()
        bare.clear_hints()
        solver.parameters.cp_model_presolve = False
        return solver.solve(bare, watcher)
