"""From a few answers to a whole plan of which every placement carries its reason."""

from sunfleck.service.first_plan.answers import AnswerError, Answers
from sunfleck.service.first_plan.options import Choice, Question, options
from sunfleck.service.first_plan.proposal import FirstPlan, LeftOpen, Reason, Standing
from sunfleck.service.first_plan.proposing import first_plan, refined

__all__ = [
    "AnswerError",
    "Answers",
    "Choice",
    "FirstPlan",
    "LeftOpen",
    "Question",
    "Reason",
    "Standing",
    "first_plan",
    "options",
    "refined",
]
