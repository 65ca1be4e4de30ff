"""The two components of a signature: who signs says so by user name and password.

Designed after 21 CFR 11.200(a)(1): the first signature of a continuous session takes both, each later one in it the password.
"""

from __future__ import annotations

from collections.abc import Callable

from stillroom.errors import StillroomError
from stillroom.records.models import User

__all__ = ["CannotSign", "identify"]


class CannotSign(StillroomError):
    """This cannot be signed so, by this person, now; the message says why and what to do."""


def identify(
    user: User,
    *,
    password: str,
    username: str,
    continued: bool,
    check: Callable[[User, str], bool] | None = None,
) -> None:
    """Refuse where it was not shown that `user` signs.

    Parameters
    ----------
    user : User
        Who is signed in.
    password : str
        As typed now.
    username : str
        As typed now; exact to the letter.
    continued : bool
        Whether this person signed before in the same continuous session: then an empty user name is taken.
    check : callable, optional
        User and password to whether it is right; a page counts failed tries there.

    Raises
    ------
    CannotSign
    """
    if not username and not continued:
        raise CannotSign(
            "The first signature of a session takes your user name and your password. Nothing was signed."
        )
    tried = (
        "" if username and username != user.get_username() else password
    )  # another's name is a failed try too
    if not (user.check_password(tried) if check is None else check(user, tried)):
        words = "User name and password do not match" if username else "The password does not match"
        raise CannotSign(f"{words}. Nothing was signed.")
