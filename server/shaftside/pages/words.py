"""Words of the desk for codes of the record. Trade sentences live in the handbook, not here."""

from __future__ import annotations

from collections.abc import Mapping

from shaftside.sentence import tell

VERDICTS = {
    "inside": tell("Inside"),
    "caution": tell("Inside, with a caution"),
    "not_yet": tell("Not yet"),
    "under": tell("Under"),
    "over": tell("Over"),
    "cannot_tell": tell("Cannot tell with this instrument"),
    "stop": tell("Stop"),
    "refused": tell("Refused"),
    "none": tell("Not judged"),
    "open": tell("No limit"),
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
    "open": tell("Open"),
    "completed": tell("Waits for sign-off"),
    "returned": tell("Returned for rework"),
    "signed": tell("Signed off"),
    "amended": tell("Amended after sign-off"),
    "stopped": tell("Stopped"),
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
    "ring_set_screws": tell("Set screws in the inner ring"),
    "set_screw_collar": tell("Set-screw collar"),
    "cam_collar": tell("Eccentric (cam) collar"),
    "clamp_collar": tell("Concentric clamp collar"),
    "adapter_sleeve": tell("Adapter sleeve"),
    "pull_off_sleeve": tell("Adapter sleeve with pull-off nut"),
}
WORK = {"mount": tell("Mounting"), "remove": tell("Removal"), "check": tell("Check after a run")}
ROLES = {
    "technician": tell("Technician"),
    "lead": tell("Lead"),
    "planner": tell("Planner"),
    "admin": tell("Administrator"),
}
ROLE_CALLED = {"technician": tell("technician"), "lead": tell("lead"), "planner": tell("planner"), "admin": tell("admin")}
ROLE_DOES = {
    "technician": tell("does the work and records it on the phone"),
    "lead": tell("signs work off, decides deviations, accepts readings"),
    "planner": tell("reads the records, imports positions, reports failures"),
    "admin": tell("invites people, sets roles, ends sign-ins"),
}
# How a second person showed who they are; a PIN proves presence at that phone, no more.
CONFIRMED_BY = {"pin": tell("by PIN on that phone"), "password": tell("by password")}
PHASES = {
    "make_safe": tell("Isolate and prove zero energy"),
    "prepare": tell("Prepare"),
    "work": tell("Work"),
    "return": tell("Return to service"),
    "run_in": tell("Run in"),
}
# What stands between a job and its sign-off: what it is, and what to do about it.
BLOCKERS: dict[str, tuple[str, str]] = {
    "step_open": (tell("A step is not done"), tell("The technician does it on the phone, or marks it not applicable with a reason.")),
    "reading_missing": (tell("A reading is missing"), tell("Return the job for rework; the technician takes the reading on the phone.")),
    "zero_energy_not_proved": (
        tell("Zero energy was not recorded as proved"),
        tell("Return the job. The technician records how zero energy was proved; it is never accepted without."),
    ),
    "before_zero_energy": (
        tell("Recorded before zero energy was proved"),
        tell("Return the job: the step or reading is done again after the proof."),
    ),
    "row_missing": (
        tell("A source of energy is not covered, or a row of the control of energy is missing"),
        tell("Return the job: the technician records what locked, held or tested it, or says why the step did not apply."),
    ),
    "row_on": (
        tell("A lock, restraint, person or test run is still on"),
        tell("Its owner takes it off and records it. Nobody signs while one is on."),
    ),
    "zero_energy_loss_missing": (
        tell("Locks came off, and it is not on record that zero energy no longer holds"),
        tell("Return the job: the technician opens that step again and records it, so that the loss stands beside it."),
    ),
    "conflict": (tell("Two readings of one thing"), tell("Choose the one that counts, with a reason, under “Two readings”.")),
    "outside_unaccepted": (tell("A reading is outside its window"), tell("Accept it with a reason, or return the job.")),
    "deviation_undecided": (tell("A deviation is not decided"), tell("Decide it: accept, rework or stop.")),
    "claimed": (
        tell("An entry is only claimed"),
        tell("The person named signs in here and says whether it is theirs, or a lead strikes it out."),
    ),
    "refused": (tell("An event was refused"), tell("Read the reason; the technician records it again.")),
    "lead_agreement_missing": (
        tell("“Not applicable” waits for a lead"),
        tell("Agree with a reason, or return the job so that the step is done."),
    ),
    "waiting": (
        tell("Part of the record has not arrived"),
        tell("A phone still holds entries that these follow. Let that phone connect, then look again."),
    ),
    "unknown": (tell("An entry of a newer version"), tell("Update the server: it cannot read this entry yet.")),
    "second_person_missing": (tell("A second person has not confirmed"), tell("Somebody other than the doer confirms it on a phone.")),
    "stopped": (tell("The job was stopped by a lead"), tell("It stays unsigned. Start a new job for the work that follows.")),
    "bundle_unknown": (
        tell("The handbook of this job is not held here"),
        tell("Restore the handbook bundle it names; without it nothing can be checked."),
    ),
    "not_complete": (tell("Not recorded as complete"), tell("The technician completes the job on the phone.")),
}
EVENTS = {
    "position_described": tell("Position described"),
    "position_retired": tell("Position retired"),
    "job_started": tell("Job started"),
    "step_done": tell("Step done"),
    "step_confirmed": tell("Confirmed by a second person"),
    "step_not_applicable": tell("Marked not applicable"),
    "step_reopened": tell("Step opened again"),
    "reading_taken": tell("Reading taken"),
    "zero_energy_proved": tell("Zero energy proved"),
    "zero_energy_lost": tell("Zero energy no longer holds"),
    "note_added": tell("Note"),
    "photo_added": tell("Photo"),
    "deviation_raised": tell("Deviation raised"),
    "deviation_decided": tell("Deviation decided"),
    "reading_accepted": tell("Reading accepted by a lead"),
    "reading_chosen": tell("Reading chosen by a lead"),
    "not_applicable_agreed": tell("“Not applicable” agreed"),
    "job_completed": tell("Recorded as complete"),
    "job_returned": tell("Returned for rework"),
    "job_signed": tell("Signed off"),
    "follow_up_done": tell("Follow-up done"),
    "machine_started": tell("Machine started"),
    "row_added": tell("Row of the control of energy"),
    "row_ended": tell("Row ended"),
    "row_checked": tell("Looked at again"),
    "failure_reported": tell("Failure reported"),
    "event_refused": tell("Event refused"),
    "actor_claimed": tell("Actor only claimed"),
    "claim_answered": tell("Claim answered"),
    "verdict_differs": tell("Server works out another verdict"),
    "person_added": tell("Person added"),
    "roles_changed": tell("Roles changed"),
    "person_disabled": tell("Person disabled"),
    "person_enabled": tell("Person enabled"),
    "plant_value_set": tell("Plant's value set"),
    "plant_value_withdrawn": tell("Plant's value withdrawn"),
}
FINDINGS = {
    "outside": tell("Outside its window"),
    "differs": tell("Working differs"),
    "conflict": tell("Two readings"),
    "missing": tell("Missing"),
    "zero_energy": tell("Zero energy"),
    "deviation": tell("Deviation"),
    "not_applicable": tell("Marked not applicable"),
    "near_limit": tell("Near a limit"),
    "calibration": tell("Calibration"),
    "follow_up": tell("Later work not done"),
    "afterwards": tell("Recorded afterwards"),
    "claimed": tell("Only claimed"),
    "refused": tell("Refused entry"),
    "status": tell("Sign-off"),
}
DECISIONS = {
    "accept": tell("Accept as it is"),
    "rework": tell("Rework"),
    "stop": tell("Stop the job"),
}
CERTAINTY = {
    "standard": tell("standard"),
    "secondary": tell("secondary source"),
    "memory": tell("from memory"),
    "common_practice": tell("common practice, no source"),
    "derived": tell("derived"),
    "maker": tell("maker's value"),
}
CERTAINTY_MEANS = {
    "standard": tell("Read in the standard itself."),
    "secondary": tell("A standard or handbook, as another text prints it."),
    "memory": tell("Recalled, not read. Check it before you lean on it."),
    "common_practice": tell("What fitters do. No one stands behind the number."),
    "derived": tell("Follows from the lines around it."),
    "maker": tell("From this bearing's maker, with its document."),
}
STATEMENT = tell(
    "I did not do this work. I have read the whole record as it stands on this page, "
    "with its deviations and its readings outside their windows, and I accept the work as recorded."
)
DEFERENCE = (
    tell(
        "This record does not replace the site's energy-control procedure for this machine, local law, "
        "the bearing maker's instruction or the work permit. Where they differ, the stricter one rules: "
        "stop and ask the lead."
    ),
    tell(
        "Only people whom the site has authorised apply or remove lockout. Electrical isolation, and the test "
        "for absence of voltage, are for a qualified electrical person."
    ),
    tell(
        "Shaft repair, a changed fit or bearing, a lifting plan or a removed guard need the person who is "
        "licensed or appointed for that here."
    ),
    tell(
        "What is recorded says what the person named saw and did. It is no proof of the machine's state now: "
        "that is proved at the machine, each time."
    ),
)
NOTHING_REPLACED = tell(
    "Nothing here replaces the site's energy-control procedure, the bearing maker's instruction, local law or the permit. "
    "The stricter one rules."
)
SIGNALS = {"DANGER": tell("DANGER"), "WARNING": tell("WARNING"), "CAUTION": tell("CAUTION"), "NOTICE": tell("NOTICE")}
LEVELS = {"stop": tell("Stop"), "caution": tell("Caution"), "note": tell("Note"), "refuse": tell("Not given")}
SYSTEMS = {"typed": tell("as recorded"), "metric": tell("metric"), "inch": tell("inch")}
OUTCOMES = {"kept": tell("kept"), "claimed": tell("claimed"), "refused": tell("refused"), "conflict": tell("conflict"), "waiting": tell("waiting")}
# What became of the entries of a phone's file.
READ_IN = {
    "kept": tell("here already, or kept"),
    "claimed": tell("only claimed"),
    "refused": tell("refused"),
    "conflict": tell("set aside: another entry has the number"),
    "waiting": tell("waiting for entries they follow"),
}
CHANGES = {"new": tell("New"), "changed": tell("Changed"), "same": tell("As it is"), "wrong": tell("Wrong")}
# Names the server itself gives to devices.
DEVICES = {"Desk browser": tell("Desk browser")}
# What the desk says on the page after a form, by the code in its address.
SAID = {
    "signed": tell("Signed off, on exactly what you saw."),
    "returned": tell("Returned for rework. The technician sees it at the next exchange."),
    "decided": tell("The decision is recorded."),
    "accepted": tell("The reading is accepted, with your reason."),
    "chosen": tell("The choice is recorded. Both readings stay in the record."),
    "agreed": tell("Agreed, with your reason."),
    "claim": tell("The answer is recorded."),
    "reported": tell("The failure is recorded."),
    "imported": tell("The file is applied."),
    "invited": tell("The invitation is made."),
    "roles": tell("The roles are changed."),
    "disabled": tell("The person can no longer sign in."),
    "enabled": tell("The person can sign in again."),
    "revoked": tell("That sign-in is ended."),
    "signed_out": tell("You are signed out."),
    "calendar_ended": tell("The calendar address is ended."),
    "saved": tell("Saved."),
    "withdrawn": tell("The value is withdrawn. Records that used it keep it."),
}


def word(table: Mapping[str, str], code: object) -> str:
    """The word for a code; the code itself, readable, where the desk has no word for it."""
    text = str(code or "")
    return table.get(text) or text.replace("_", " ")
