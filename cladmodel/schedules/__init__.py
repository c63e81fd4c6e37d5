"""Rows read off the solids: rod, cut list, order, quantities, weights, report.

Here: numbers and words in rows. Not here: how a row is drawn (drawings/), or a choice of joints and cuts
(settingout/cutting/).
"""
