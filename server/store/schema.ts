import type { Generated } from "kysely";
import type { SetKind } from "../../src/experiment/endpoint.ts";

/** Row types of the store, as Kysely sees them; domain types live in src/. */
export interface Database {
  installation: { id: number; cookie_secret: string; created_at: string };
  leads: {
    id: string;
    name: string;
    passphrase_hash: string;
    created_at: string;
    removed_at: Generated<string | null>;
    removed_by: Generated<string | null>;
  };
  lead_invitations: {
    token_hash: string;
    purpose: "set-up" | "invite" | "reset" | "sign-in";
    lead_id: string | null;
    created_at: string;
    expires_at: string;
    used_at: string | null;
  };
  lead_visits: { token_hash: string; lead_id: string; created_at: string; expires_at: string };
  experiments: {
    id: string;
    title: string;
    draft_json: string;
    copied_from: string | null;
    created_by: string;
    created_at: string;
    updated_at: string;
    discarded_at: Generated<string | null>;
  };
  sessions: {
    id: string;
    experiment_id: string;
    name: string;
    held_on: string | null;
    state: "draft" | "sealed" | "open" | "closed" | "unblinded";
    plan_json: string | null;
    plan_hash: string | null;
    commitment: string | null;
    join_code: string | null;
    created_at: string;
    sealed_at: string | null;
    opened_at: string | null;
    closed_at: string | null;
    unblinded_at: string | null;
    paused_at: string | null;
    discarded_at: string | null;
    origin: Generated<"run-here" | "imported">;
    tasters_see: Generated<"nothing" | "own" | "own-and-headline">;
  };
  imported_panels: { session_id: string; evidence_json: string; file_sha256: string };
  session_secrets: { session_id: string; seed: string; nonce: string; key_json: string };
  pots: {
    id: string;
    session_id: string;
    coffee_id: string;
    pair: number;
    letter: string;
    brewer: string;
    brew_order: number;
    water_label: string;
  };
  pot_keys: { pot_id: string; treatment: "A" | "B"; control_pair: 0 | 1 };
  seats: {
    id: string;
    session_id: string;
    number: number;
    token_hash: string | null;
    joined_at: string | null;
    left_at: string | null;
  };
  presentations: {
    id: string;
    seat_id: string;
    ordinal: number;
    set_kind: SetKind;
    void_reason: string | null;
    repeats: string | null;
  };
  presentation_keys: {
    presentation_id: string;
    coffee_id: string;
    pair: number;
    replicate: number;
    control: "same-pot" | "same-treatment" | null;
    odd_position: number | null;
    fellow_position: number | null;
  };
  cups: { id: string; seat_id: string; presentation_id: string; position: number; code: string };
  cup_keys: { cup_id: string; pot_id: string };
  spare_cups: { id: string; pot_id: string; code: string; used_at: string | null };
  replaced_codes: { cup_id: string; code: string; replaced_by: string; replaced_at: string };
  mix_ups: {
    presentation_id: string;
    code: string;
    other_code: string;
    resolution: "corrected" | "voided";
    recorded_at: string;
    recorded_by: string;
    second_lead_id: string | null;
    witness: string | null;
  };
  seat_moves: {
    code_hash: string;
    seat_id: string;
    expires_at: string;
    used_at: string | null;
  };
  paper_readings: {
    presentation_id: string;
    answers_json: string;
    read_at: string;
    read_by: string;
  };
  tasters: {
    seat_id: string;
    alias: string;
    language: string;
    consented_at: string;
    consent_hash: string;
  };
  ballots: {
    id: string;
    presentation_id: string;
    idempotency_key: string;
    answers_json: string;
    received_at: string;
    seconds_on_screen: number | null;
  };
  comments: { ballot_id: string; text: string };
  brews: {
    id: string;
    pot_id: string;
    attempt: number;
    record_json: string;
    rejected: string | null;
    logged_at: string;
  };
  blank_runs: {
    id: string;
    session_id: string;
    brewer: string;
    brew_seconds: number;
    beverage_grams: number;
    logged_at: string;
  };
  events: {
    session_id: string;
    sequence: number;
    at: string;
    actor: string;
    kind: string;
    body_json: string;
    previous_hash: string;
    hash: string;
  };
  links: {
    id: string;
    session_id: string;
    shows: "report" | "pour-sheet" | "brew-sheet" | "key-sheet";
    token_hash: string;
    note: string;
    created_at: string;
    expires_at: string | null;
    revoked_at: string | null;
    opened_at: string | null;
  };
  water_recipes: {
    id: string;
    name: string;
    experiment_id: string | null;
    draft_json: string;
    created_by: string;
    created_at: string;
  };
  water_batches: {
    id: string;
    label: string;
    recipe_id: string | null;
    content_json: string;
    made_at: string;
    made_by: string;
    note: string;
    recorded_by: string;
    recorded_at: string;
  };
  water_readings: {
    id: string;
    batch_id: string;
    reading_json: string;
    read_at: string;
    read_by: string;
    recorded_at: string;
  };
}
