"""Questions put to the engine: how long to hold, how sure, what is wrong with the plan."""
