#include "inspected.h"

static struct rated label_of(double a, double ah, int cells)
{
    struct rated rated = rated_nothing();
    rated.continuous_a = a;
    rated.rated_ah = ah;
    rated.cells = cells;
    rated.nominal_v = 3.2 * cells;
    rated.rated_wh = ah * rated.nominal_v;
    return rated;
}

TEST(a_board_printed_for_less_than_the_label_speaks_against_it)
{
    struct rated rated = label_of(100, 100, 4);
    rated.peak_a = 200;
    rated.charge_a = 50;
    struct seen seen = look("[board]\nrating = 80 A\npeak = 250 A\ncharge rating = 40 A\ncells = 8\nmosfets = 12, two rows\n"
                            "balancing = 60 mA\nheat sink = no\n[board spare]\nrating = 120 A\n",
                            &rated);
    const struct inspected *board = &seen.found.items[0];
    says(board->against, "100 A continuous: the board in it is marked for 80 A.");
    says(board->against, "50 A of charge: the board is printed for 40 A.");
    says(board->against, "4 cells in series: the board is printed for 8.");
    CHECK(strstr(board->against, "for a moment") == NULL);
    says(value_of(board, "balancing")->words, "17 h"); /* 1 Ah at 60 mA: 16.7 h */
    says(value_of(board, "transistor")->words, "8.33 A");
    CHECK(board->limit_a == 80 && board->limit_u_a == 0 && seen.found.weakest == 0);
    CHECK_TEXT(seen.found.items[1].against, "");
    let_go(&seen);
}

TEST(a_fuse_is_held_against_current_volts_and_leads)
{
    struct rated rated = label_of(100, 100, 16);
    struct seen seen = look("[fuse main]\nrating = 110 A\nvoltage = 32 V\n[fuse small]\nrating = 60 A\n[fuse gone]\nrating = none\n"
                            "[conductor +]\nsize = 12 AWG\nlength = 300 mm\ninsulation = 105 °C\n",
                            &rated);
    says(seen.found.items[0].means, "more than four fifths");
    says(seen.found.items[0].means, "up to 32 V, and 16 full cells have 58.4 V"); /* 16 × 3.65 */
    says(seen.found.items[0].means, "against a short and not against overload");
    says(seen.found.items[1].against, "the fuse small in it is marked for 60 A");
    says(seen.found.items[2].means, "Without a fuse only the board");
    CHECK(isnan(seen.found.items[2].limit_a));
    let_go(&seen);
}

/* B25/50 = 3435 K and 10 kΩ: 4.103 kΩ at 50 °C by its definition, 10 k·exp(3435 (1/323.15 − 1/298.15)). */
TEST(a_sensors_ohms_become_degrees_and_the_cells_it_sees_are_told)
{
    struct rated rated = label_of(100, 100, 4);
    struct seen seen = look("[sensor]\ntouches = cell 2, taped\nr25 = 10 kΩ\nbeta = 3435 K\nreads = 4.103 kΩ at 50 °C\n"
                            "reads = 4.103 kΩ at 41.0 °C\n"
                            "[sensor far]\nplace = between cells 3 and 4\nreads = 32.65 kΩ at 0 °C\nreads = 10.00 kΩ at 25 °C\n"
                            "[sensor board]\ntouches = the board\nreads = 10 kΩ\n",
                            &rated);
    const struct inspected *near = &seen.found.items[0], *far = &seen.found.items[1];
    CHECK_NEAR(value_of(near, "by its stated curve")->measure.value, 50, 0.02);
    CHECK_NEAR(value_of(near, "less the thermometer's 41")->measure.value, 9, 0.02);
    says(near->means, "not on the stated curve");
    says(value_of(near, "sees")->words, "cell 2 of 4");
    says(value_of(far, "sees")->words, "cell 3, 4 of 4");
    says(value_of(far, "curve by these readings")->words, "R25 10 kΩ, B 3855 K"); /* ln 3.265 · 273.15 · 298.15 / 25 */
    says(far->means, "not known");
    says(seen.found.items[2].means, "sees the transistors");
    let_go(&seen);
}

TEST(cells_are_held_against_volts_and_ampere_hours)
{
    struct rated rated = label_of(100, 100, 4);
    struct seen seen = look("[cells]\ncount = 8\narrangement = 4S2P\nrated = 45 Ah\nmass = 0.9 kg\n[cells b]\narrangement = 5s\n"
                            "rated = 105 Ah\ncount = 4\n",
                            &rated);
    const struct inspected *cells = &seen.found.items[0];
    CHECK_NEAR(value_of(cells, "in series")->measure.value, 12.8, 1e-9);
    CHECK_NEAR(value_of(cells, "by the print")->measure.value, 90, 1e-9);
    CHECK_NEAR(value_of(cells, "of all cells")->measure.value, 1152, 1e-9);
    says(value_of(cells, "of one cell")->words, "160"); /* 45 Ah · 3.2 V / 0.9 kg */
    says(cells->against, "100 Ah: its cells are printed for 90 Ah.");
    CHECK(strstr(cells->against, "in series") == NULL);
    says(seen.found.items[1].against, "there are 5");
    says(seen.found.items[1].means, "count again");
    CHECK(strstr(seen.found.items[1].against, "Ah") == NULL);
    let_go(&seen);
}

/* Day numbers by hand: 2024-07-11 to 2026-02-03 is 366 + 206 = 572 days. */
TEST(codes_tell_age_batch_and_signs_and_no_verdict)
{
    struct rated rated = label_of(100, 100, 4);
    rated.test_year = 2026, rated.test_month = 2, rated.test_day = 3;
    struct seen seen = look("[opened]\ndate = 2026-03-01\n[cells]\ncode = zzzcb99 hut0001 e7b 0000412\ncode = ZZZCB99HUT0001D3B0000412\n"
                            "code = ZZZCB99HUT0001D3B0000412, copied\ncode = ZZZCB99E7B0000412RC\ncode = 12V 100Ah\n"
                            "signs = weld marks beside the new ones\nsigns = none\n",
                            &rated);
    const struct inspected *cells = &seen.found.items[0];
    CHECK(seen.found.code_count == 5 && seen.found.batch.read == 4 && seen.found.batch.repeated == 1);
    CHECK(seen.found.year == 2026 && seen.found.month == 2 && seen.found.day == 3);
    says(value_of(cells, "ZZZCB99HUT0001E7B0000412")->words, "made 2024-07-11, 572 days before");
    size_t signs = 0;
    for (size_t k = 0; k < cells->value_count; k++)
        signs += strcmp(cells->values[k].what, "sign of a second life") == 0;
    CHECK_NEAR((double)signs, 4, 0); /* days apart, repeated, used again, weld marks */
    says(cells->means, "4 signs of an earlier life: each has innocent causes too");
    says(cells->means, "wrappers can be printed anew");
    CHECK_TEXT(cells->against, "");
    let_go(&seen);
}

/* The outline of BCI 31, 330 × 173 × 240 mm, as a dealer's table has it. */
TEST(a_case_is_held_against_groups_and_energy)
{
    struct rated rated = label_of(100, 100, 4);
    rated.mass_kg = 9;
    snprintf(rated.group, sizeof rated.group, "group 31");
    struct seen seen = look("[case]\nsize = 335 x 172 x 214 mm\nmass = 10.0 kg\n[case b]\nsize = 172 x 329 x 238 mm\n", &rated);
    says(seen.found.items[0].against, "BCI group 31: the case is too large by 5 mm.");
    says(value_of(&seen.found.items[0], "energy")->words, "128.0"); /* 1280 Wh / 10.0 kg */
    says(value_of(&seen.found.items[1], "fits")->words, "BCI 31");
    CHECK_TEXT(seen.found.items[1].against, "");
    says(value_of(&seen.found.items[1], "energy")->words, "142.2"); /* of the label's own 9 kg */
    let_go(&seen);
}

/* IEC 60529, from memory: 4 keeps out a wire of 1 mm, 6 dust; no code is decided by eye. */
TEST(an_open_way_is_named_beside_a_claimed_code)
{
    static const struct {
        const char *code, *text;
        bool against;
    } rows[] = {
        {"IP65", "[vent]\ntype = hole\nopening = 6 mm\n", true},    {"IP65", "[vent]\ntype = membrane\n", false},
        {"IP65", "[vent]\ntype = slot, covered\n", true},           {"IP20", "[vent]\ntype = hole\nopening = 6 mm\n", false},
        {"IP 20", "[vent]\ntype = hole\nopening = 13 mm\n", true},  {"IP40", "[vent]\ntype = hole\nopening = 0.8 mm\n", false},
        {"IPX7", "[seal]\ntype = none\n", true},                    {"IPX4", "[seal]\ntype = none\n", false},
        {"IP67", "[seal]\ntype = gasket\ngap = 0.5 mm\n", true},    {"IP54", "[seal]\ntype = gasket\ngap = 0.5 mm\n", false},
        {"IP67", "[seal]\ntype = gasket\n", false},                 {"", "[vent]\ntype = hole\n", false},
    };
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        struct rated rated = rated_nothing();
        rated.claims_ingress = rows[k].code[0] != '\0';
        snprintf(rated.ingress, sizeof rated.ingress, "%s", rows[k].code);
        struct seen seen = look(rows[k].text, &rated);
        if ((seen.found.items[0].against[0] != '\0') != rows[k].against)
            CHECK_TEXT(rows[k].code, rows[k].text);
        let_go(&seen);
    }
}

TEST(what_holds_things_is_put_in_plain_words)
{
    struct rated rated = rated_nothing();
    struct seen seen = look("[compression]\ntype = none\nspacers = none\nfixed = no\n[wiring]\nstrain relief = no\nchafing = yes, at the "
                            "lid\nloose = none\n[other]\nseen = a fan\n",
                            &rated);
    says(seen.found.items[0].means, "nothing holds them together");
    says(seen.found.items[0].means, "at every jolt");
    says(seen.found.items[1].means, "wears through");
    CHECK(strstr(seen.found.items[1].means, "loose joint") == NULL);
    CHECK_TEXT(seen.found.items[2].means, "");
    let_go(&seen);
}

TEST(what_answers_the_label_is_put_out_by_itself)
{
    struct rated nothing = rated_nothing();
    struct seen seen = look("[case]\nsize = 329 x 172 x 214 mm\nmass = 11.24 kg ± 0.03 kg\n[cells]\narrangement = 8S2P\n", &nothing);
    CHECK(seen.found.series == 8);
    CHECK_NEAR(seen.found.mass_kg.value, 11.24, 1e-12);
    CHECK_NEAR(seen.found.sides_m[1].value, 0.172, 1e-12);
    CHECK(seen.found.sides_m[2].u > 0.001 && seen.found.sides_m[2].u < 0.002);
    let_go(&seen);
}
