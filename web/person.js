// What the events say of a person: name, roles, and whether they are shut out. Roles are events.
import { last, of, read } from "./remarks.js";

/** @param {import("./events.js").Kept[]} kept the events of the person's own record
 * @returns {{name: string | null, roles: string[] | null, disabled: boolean}} roles null: nothing was heard yet */
export function reducePerson(kept) {
  const { marks } = read(kept, "person");
  const roles = last(of(marks, "person_added", "roles_changed"))?.body.roles ?? null;
  return {
    name: last(of(marks, "person_added"))?.body.name ?? null,
    roles,
    disabled: last(of(marks, "person_disabled", "person_enabled"))?.kind === "person_disabled",
  };
}
