#include "inspected.h"

static const struct inspection_step *asked(const struct inspection *found, const char *words)
{
    for (size_t k = 0; k < found->step_count; k++)
        if (strstr(found->steps[k].ask, words) != NULL || strstr(found->steps[k].why, words) != NULL)
            return &found->steps[k];
    return NULL;
}

TEST(a_closed_case_is_measured_before_it_is_opened)
{
    struct rated rated = rated_nothing();
    struct seen seen = look("", &rated);
    CHECK(seen.found.step_count >= 10 && seen.found.steps[0].kind == OPENED_CASE && !seen.found.steps[0].caution);
    const struct inspection_step *fuse = asked(&seen.found, "Look for a fuse");
    CHECK(fuse != NULL && fuse->caution && fuse->key[0] == '\0');
    CHECK(asked(&seen.found, "heater") == NULL);
    for (size_t k = 0; k < seen.found.step_count; k++)
        CHECK(seen.found.steps[k].ask[0] != '\0' && seen.found.steps[k].why[0] != '\0');
    for (const char *const *caution = opened_cautions; *caution != NULL; caution++)
        CHECK(strlen(*caution) > 20);
    let_go(&seen);
}

TEST(steps_follow_the_label)
{
    struct rated rated = rated_nothing();
    rated.claims_ingress = rated.claims_heater = rated.claims_cold_cut_off = true;
    snprintf(rated.ingress, sizeof rated.ingress, "IP65");
    rated.mass_kg = 11, rated.length_mm = 329;
    struct seen seen = look("", &rated);
    CHECK(asked(&seen.found, "weigh it") == NULL);
    CHECK(seen.found.steps[0].kind == OPENED_VENT && asked(&seen.found, "IP65") != NULL);
    CHECK(asked(&seen.found, "Look for a heater") != NULL);
    CHECK(asked(&seen.found, "charging stops when it is cold") != NULL);
    let_go(&seen);
    seen = look("[other]\nseen = film Heater under the cells\n[vent]\n[seal]\n", &rated);
    CHECK(asked(&seen.found, "Look for a heater") == NULL && asked(&seen.found, "Look for the vent") == NULL);
    CHECK(asked(&seen.found, "See what the vent is") != NULL);
    let_go(&seen);
}

TEST(steps_follow_what_was_found)
{
    struct rated rated = rated_nothing();
    rated.cells = 4;
    struct seen seen = look("[conductor a]\nsize = 4 x 10 AWG\nlength = 200 mm\npath = +\nfrom = cell\nto = board\n"
                            "[conductor b]\nsize = 10 AWG\nlength = 200 mm\npath = -, to the terminal\ninsulation = 200 °C\nfrom = cell\n"
                            "[cells]\ncount = 4\narrangement = 4S1P\nrated = 100 Ah\nsigns = none\ncode = ZZZCB99HUT0001E7B0000412\n"
                            "[sensor]\ntouches = cell 2\nreads = 11 kΩ at 20 °C\n"
                            "[vent]\ntype = hole\n[fuse]\nrating = none\n",
                            &rated);
    const struct inspection_step *step = asked(&seen.found, "temperature that its jacket");
    CHECK(step != NULL && strcmp(step->name, "a") == 0 && strcmp(step->key, "insulation") == 0);
    step = asked(&seen.found, "whether the 4 lie in one bundle");
    CHECK(step != NULL && strcmp(step->key, "bundled") == 0);
    step = asked(&seen.found, "The other side has 4");
    CHECK(step != NULL && strcmp(step->name, "b") == 0);
    step = asked(&seen.found, "1 of 4 codes");
    CHECK(step != NULL && step->kind == OPENED_CELLS);
    CHECK(asked(&seen.found, "on cells 1, 3, 4") != NULL);
    CHECK(asked(&seen.found, "once more at another temperature") != NULL);
    CHECK(asked(&seen.found, "smallest width of the opening") != NULL);
    CHECK(asked(&seen.found, "how many volts it can break") == NULL); /* there is no fuse */
    CHECK(asked(&seen.found, "Look for a fuse") == NULL);
    let_go(&seen);
}

TEST(one_side_makes_one_look_at_the_other)
{
    struct rated rated = rated_nothing();
    struct seen seen = look("[conductor +]\npath = plus\n", &rated);
    CHECK(asked(&seen.found, "the − side too") != NULL && asked(&seen.found, "the + side too") == NULL);
    let_go(&seen);
    seen = look("[conductor]\nsize = 10 AWG\n[conductor +]\npath = +\n", &rated);
    CHECK(asked(&seen.found, "side too") == NULL); /* the first may be of the other side */
    let_go(&seen);
}

/* Two lines at most are asked of an item at once, and answering them brings the next. */
TEST(an_item_is_asked_for_a_little_at_a_time)
{
    struct rated rated = rated_nothing();
    struct seen seen = look("[bus bar]\n", &rated);
    size_t of_bar = 0;
    for (size_t k = 0; k < seen.found.step_count; k++)
        of_bar += seen.found.steps[k].kind == OPENED_BUS_BAR;
    CHECK_NEAR((double)of_bar, 2, 0);
    CHECK(asked(&seen.found, "magnet") == NULL);
    let_go(&seen);
    seen = look("[bus bar]\nsize = 20 x 2 mm\nlength = 60 mm\n", &rated);
    CHECK(asked(&seen.found, "magnet") != NULL);
    let_go(&seen);
}
