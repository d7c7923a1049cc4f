"""Evidence in; ranking, plan and record out."""
