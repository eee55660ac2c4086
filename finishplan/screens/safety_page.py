"""What a job can do to people: its cautions worst first, each with the sum and its inputs one tap away."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import streamlit as st

from finishplan.errors import FinishplanError
from finishplan.paper import lines
from finishplan.paper.emergency_card import card_text
from finishplan.paper.safety_words import counts_line, input_cells, result_words, sum_name
from finishplan.safety.as_json import LOCAL_FIRST
from finishplan.safety.cautions import SEVERITIES, Caution, other_figures
from finishplan.safety.day_sums import day_sums
from finishplan.safety.situation import Situation
from finishplan.safety.worked import Worked
from finishplan.screens.parts import guard, opening
from finishplan.screens.parts.markup import h, items, p, put, table
from finishplan.workup import Answer
