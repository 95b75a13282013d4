"""Courses for the pages that ride: the demonstration stages, and checking a file that a browser has read."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter

from forkwright.app.acts import changes_nothing
from forkwright.app.api.shapes import CourseAnswer, CoursesAnswer
from forkwright.app.tuning.courses import CourseChoice, chosen, course_account, demo_texts

router = APIRouter(prefix="/api/courses", tags=["courses"])


@router.get("", response_model=CoursesAnswer)
def demos() -> dict[str, Any]:
    """List the demonstration stages."""
    return {
        "courses": [
            {"demo": name, **course_account(chosen(CourseChoice(demo=name)))} for name in demo_texts()
        ]
    }


@router.post("/check", response_model=CourseAnswer)
@changes_nothing
def check(choice: CourseChoice) -> dict[str, Any]:
    """Read a course file; the answer tells its length and how long it is ridden."""
    return course_account(chosen(choice))
