"""The process that saws: reads designs from its standard input, writes pieces to its standard output.

It knows neither window nor viewport, and it ends by itself as soon as the program that started it is gone.
A message is eight bytes of length, little end first, and that many bytes of pickle; both ends are this program.
"""

from __future__ import annotations

import os
import pickle
import queue
import signal
import struct
import sys
import threading
import traceback
from dataclasses import dataclass
from typing import Any, BinaryIO

from geometry.errors import CornerwiseError
from geometry.piece import build
from geometry.project import DisplayUnits, Variant
from geometry.report import Report, report_on

LENGTH = struct.Struct("<Q")

READY = "ready"
"""The worker's first message: everything is loaded."""


@dataclass(frozen=True, slots=True)
class Job:
    """One design to build.

    Attributes
    ----------
    ticket : the number its answer will bear
    variant : the design
    units : the maker's unit, for the sentences of the findings
    chord_mm : how far the sampled lines may stray from the exact ones
    """

    ticket: int
    variant: Variant
    units: DisplayUnits
    chord_mm: float


@dataclass(frozen=True, slots=True)
class Answer:
    """What came of a job: a report, or a sentence saying why there is none.

    ``fault`` holds the details for whoever mends the program, where it was the program that failed.
    """

    ticket: int
    report: Report | None
    sentence: str = ""
    fault: str = ""


def frame(message: Any) -> bytes:
    """Return a message as the bytes that go through the pipe."""
    body = pickle.dumps(message, protocol=5)
    return LENGTH.pack(len(body)) + body


def unframed(received: bytearray) -> list[Any]:
    """Take every whole message off the front of what was received; the rest stays for next time."""
    messages = []
    while len(received) >= LENGTH.size:
        (size,) = LENGTH.unpack_from(received)
        end = LENGTH.size + size
        if len(received) < end:
            break
        messages.append(pickle.loads(bytes(received[LENGTH.size : end])))
        del received[:end]
    return messages


def answer_to(job: Job) -> Answer:
    """Build and judge one design. Whatever goes wrong comes back as a sentence."""
    try:
        return Answer(job.ticket, report_on(build(job.variant, job.chord_mm), job.units))
    except CornerwiseError as error:
        return Answer(job.ticket, None, str(error))
    except MemoryError:
        return Answer(job.ticket, None, "There is not enough memory to work this piece out. Close other programs.")
    except Exception:  # the worker must live on whatever a design does to it
        return Answer(
            job.ticket,
            None,
            "The piece could not be worked out from these lines; this is a fault in the program. "
            "Undo the last step, or move the last node a little.",
            traceback.format_exc(),
        )


def main() -> None:
    """Work until the other end of the pipe closes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl+C in a terminal is meant for the window
    source = sys.stdin.buffer
    # Answers get a way out of their own: nothing that a library prints may land among them.
    out = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    jobs: queue.SimpleQueue[Job] = queue.SimpleQueue()
    threading.Thread(target=_listen, args=(source, jobs), daemon=True).start()
    message: Any = READY
    while True:
        try:
            out.write(frame(message))
            out.flush()
        except OSError:
            os._exit(0)
        message = answer_to(jobs.get())


def _listen(source: BinaryIO, jobs: queue.SimpleQueue[Job]) -> None:
    """Hand jobs over as they come; leave at once when the pipe closes, even in the midst of sawing."""
    while True:
        head = source.read(LENGTH.size)
        body = source.read(LENGTH.unpack(head)[0]) if len(head) == LENGTH.size else b""
        if not body:
            os._exit(0)
        jobs.put(pickle.loads(body))
