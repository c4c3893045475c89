//! Voltages, currents and limits of circuits in each load case. No graph, no money.
