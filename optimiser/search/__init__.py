"""From programme to plan. May import: choices, cutting, models, programme, solvers, stowage."""
