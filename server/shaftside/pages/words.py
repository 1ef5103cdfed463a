"""Words of the desk for codes of the record. Trade sentences live in the handbook, not here."""

from __future__ import annotations

VERDICTS = {
    "inside": "Inside",
    "caution": "Inside, with a caution",
    "not_yet": "Not yet",
    "under": "Under",
    "over": "Over",
    "cannot_tell": "Cannot tell with this instrument",
    "stop": "Stop",
    "refused": "Refused",
    "none": "Not judged",
    "open": "No limit",
}
TONE = {
    "inside": "good",
    "caution": "care",
    "not_yet": "care",
    "under": "halt",
    "over": "halt",
    "cannot_tell": "care",
    "stop": "halt",
    "refused": "halt",
}
STATUS = {
    "open": "Open",
    "completed": "Waits for sign-off",
    "returned": "Returned for rework",
    "signed": "Signed off",
    "amended": "Amended after sign-off",
    "stopped": "Stopped",
}
STATUS_TONE = {
    "open": "plain",
    "completed": "care",
    "returned": "care",
    "signed": "good",
    "amended": "halt",
    "stopped": "halt",
}
METHODS = {
    "ring_set_screws": "Set screws in the inner ring",
    "set_screw_collar": "Set-screw collar",
    "cam_collar": "Eccentric (cam) collar",
    "clamp_collar": "Concentric clamp collar",
    "adapter_sleeve": "Adapter sleeve",
    "pull_off_sleeve": "Adapter sleeve with pull-off nut",
}
WORK = {"mount": "Mounting", "remove": "Removal", "check": "Check after a run"}
ROLES = {
    "technician": "Technician",
    "lead": "Lead",
    "planner": "Planner",
    "admin": "Administrator",
}
ROLE_DOES = {
    "technician": "does the work and records it on the phone",
    "lead": "signs work off, decides deviations, accepts readings",
    "planner": "reads the records, imports positions, reports failures",
    "admin": "invites people, sets roles, ends sign-ins",
}
# How a second person showed who they are; a PIN proves presence at that phone, no more.
CONFIRMED_BY = {"pin": " (by PIN on that phone)", "password": " (by password)"}
PHASES = {
    "make_safe": "Isolate and prove zero energy",
    "prepare": "Prepare",
    "work": "Work",
    "return": "Return to service",
    "run_in": "Run in",
}
# What stands between a job and its sign-off: what it is, and what to do about it.
BLOCKERS: dict[str, tuple[str, str]] = {
    "step_open": ("A step is not done", "The technician does it on the phone, or marks it not applicable with a reason."),
    "reading_missing": ("A reading is missing", "Return the job for rework; the technician takes the reading on the phone."),
    "zero_energy_not_proved": (
        "Zero energy was not recorded as proved",
        "Return the job. The technician records how zero energy was proved; it is never accepted without.",
    ),
    "before_zero_energy": (
        "Recorded before zero energy was proved",
        "Return the job: the step or reading is done again after the proof.",
    ),
    "row_missing": (
        "A source of energy is not covered, or a row of the control of energy is missing",
        "Return the job: the technician records what locked, held or tested it, or says why the step did not apply.",
    ),
    "row_on": (
        "A lock, restraint, person or test run is still on",
        "Its owner takes it off and records it. Nobody signs while one is on.",
    ),
    "zero_energy_loss_missing": (
        "Locks came off, and it is not on record that zero energy no longer holds",
        "Return the job: the technician opens that step again and records it, so that the loss stands beside it.",
    ),
    "conflict": ("Two readings of one thing", "Choose the one that counts, with a reason, under “Two readings”."),
    "outside_unaccepted": ("A reading is outside its window", "Accept it with a reason, or return the job."),
    "deviation_undecided": ("A deviation is not decided", "Decide it: accept, rework or stop."),
    "claimed": (
        "An entry is only claimed",
        "The person named signs in here and says whether it is theirs, or a lead strikes it out.",
    ),
    "refused": ("An event was refused", "Read the reason; the technician records it again."),
    "lead_agreement_missing": (
        "“Not applicable” waits for a lead",
        "Agree with a reason, or return the job so that the step is done.",
    ),
    "waiting": (
        "Part of the record has not arrived",
        "A phone still holds entries that these follow. Let that phone connect, then look again.",
    ),
    "unknown": ("An entry of a newer version", "Update the server: it cannot read this entry yet."),
    "second_person_missing": ("A second person has not confirmed", "Somebody other than the doer confirms it on a phone."),
    "stopped": ("The job was stopped by a lead", "It stays unsigned. Start a new job for the work that follows."),
    "bundle_unknown": (
        "The handbook of this job is not held here",
        "Restore the handbook bundle it names; without it nothing can be checked.",
    ),
    "not_complete": ("Not recorded as complete", "The technician completes the job on the phone."),
}
EVENTS = {
    "position_described": "Position described",
    "position_retired": "Position retired",
    "job_started": "Job started",
    "step_done": "Step done",
    "step_confirmed": "Confirmed by a second person",
    "step_not_applicable": "Marked not applicable",
    "step_reopened": "Step opened again",
    "reading_taken": "Reading taken",
    "zero_energy_proved": "Zero energy proved",
    "zero_energy_lost": "Zero energy no longer holds",
    "note_added": "Note",
    "photo_added": "Photo",
    "deviation_raised": "Deviation raised",
    "deviation_decided": "Deviation decided",
    "reading_accepted": "Reading accepted by a lead",
    "reading_chosen": "Reading chosen by a lead",
    "not_applicable_agreed": "“Not applicable” agreed",
    "job_completed": "Recorded as complete",
    "job_returned": "Returned for rework",
    "job_signed": "Signed off",
    "follow_up_done": "Follow-up done",
    "machine_started": "Machine started",
    "row_added": "Row of the control of energy",
    "row_ended": "Row ended",
    "row_checked": "Looked at again",
    "failure_reported": "Failure reported",
    "event_refused": "Event refused",
    "actor_claimed": "Actor only claimed",
    "claim_answered": "Claim answered",
    "verdict_differs": "Server works out another verdict",
    "person_added": "Person added",
    "roles_changed": "Roles changed",
    "person_disabled": "Person disabled",
    "person_enabled": "Person enabled",
    "plant_value_set": "Plant's value set",
    "plant_value_withdrawn": "Plant's value withdrawn",
}
FINDINGS = {
    "outside": "Outside its window",
    "differs": "Working differs",
    "conflict": "Two readings",
    "missing": "Missing",
    "zero_energy": "Zero energy",
    "deviation": "Deviation",
    "not_applicable": "Marked not applicable",
    "near_limit": "Near a limit",
    "calibration": "Calibration",
    "follow_up": "Later work not done",
    "afterwards": "Recorded afterwards",
    "claimed": "Only claimed",
    "refused": "Refused entry",
    "status": "Sign-off",
}
DECISIONS = {
    "accept": "Accept as it is",
    "rework": "Rework",
    "stop": "Stop the job",
}
CERTAINTY = {
    "standard": "standard",
    "secondary": "secondary source",
    "memory": "from memory",
    "common_practice": "common practice, no source",
    "derived": "derived",
    "maker": "maker's value",
}
CERTAINTY_MEANS = {
    "standard": "Read in the standard itself.",
    "secondary": "A standard or handbook, as another text prints it.",
    "memory": "Recalled, not read. Check it before you lean on it.",
    "common_practice": "What fitters do. No one stands behind the number.",
    "derived": "Follows from the lines around it.",
    "maker": "From this bearing's maker, with its document.",
}
STATEMENT = (
    "I did not do this work. I have read the whole record as it stands on this page, "
    "with its deviations and its readings outside their windows, and I accept the work as recorded."
)
DEFERENCE = (
    "This record does not replace the site's energy-control procedure for this machine, local law, "
    "the bearing maker's instruction or the work permit. Where they differ, the stricter one rules: "
    "stop and ask the lead.",
    "Only people whom the site has authorised apply or remove lockout. Electrical isolation, and the test "
    "for absence of voltage, are for a qualified electrical person.",
    "Shaft repair, a changed fit or bearing, a lifting plan or a removed guard need the person who is "
    "licensed or appointed for that here.",
    "What is recorded says what the person named saw and did. It is no proof of the machine's state now: "
    "that is proved at the machine, each time.",
)


def word(table: dict[str, str], code: object) -> str:
    """The word for a code; the code itself, readable, where the desk has no word for it."""
    text = str(code or "")
    return table.get(text) or text.replace("_", " ")
