#include "check.h"

#include "claims/rated_of.h"

static struct rated of(const char *text)
{
    struct label label;
    struct notices notices = {0};
    struct message message = {0};
    CHECK(label_read_text("sample.label", span_of(text), &label, &notices, &message) == STATUS_OK);
    CHECK_TEXT(message.what, "");
    struct rated rated = rated_of(&label);
    label_free(&label);
    notices_free(&notices);
    return rated;
}

TEST(a_label_gives_what_an_inspection_is_held_against)
{
    struct rated rated = of("[sample]\nname = Sample 9\ndescription = for a tray of group 31, they say\n"
                            "tested = 3 February 2026, in the workshop\nchemistry = LiFePO4\n"
                            "[claims]\nnominal voltage = 25.6 V\ncapacity = 52.5 Ah\ncontinuous current = 50 A\n"
                            "peak current = 101 A for 5 s\ncharge current = 25 A\ncharging stops when cold = yes | listing\n"
                            "heats itself = yes\nkeeps out dust and water = yes, IP65 | case\n"
                            "[measured]\nmass = 11.42 kg ± 20 g\nlength = 329 mm\n");
    CHECK(rated.continuous_a == 50 && rated.peak_a == 101 && rated.peak_s == 5 && rated.charge_a == 25);
    CHECK(rated.rated_ah == 52.5 && rated.cells == 8 && rated.nominal_v == 25.6 && isnan(rated.rated_wh));
    CHECK_NEAR(rated.mass_kg, 11.42, 1e-9);
    CHECK_NEAR(rated.length_mm, 329, 1e-9);
    CHECK(isnan(rated.width_mm) && isnan(rated.height_mm));
    CHECK(rated.claims_ingress && rated.claims_heater && rated.claims_cold_cut_off);
    CHECK_TEXT(rated.ingress, "IP65");
    CHECK_TEXT(rated.group, "31");
    CHECK(rated.test_year == 2026 && rated.test_month == 2 && rated.test_day == 3);
}

TEST(what_a_label_denies_or_does_not_say_is_not_claimed)
{
    struct rated rated = of("[sample]\nname = Sample 9\ndescription = a tip: group of friends, IPA 65\ntested = 03/04/2026\n"
                            "[claims]\nheats itself = no\ntight to IP67 = no\ncharging stops when hot = yes\n");
    CHECK(!rated.claims_ingress && !rated.claims_heater && !rated.claims_cold_cut_off && rated.test_year == 0);
    CHECK_TEXT(rated.group, "");
    rated = of("[sample]\nname = x\n[claims]\nIP x7 = yes\nIP X7 = yes\n");
    CHECK_TEXT(rated.ingress, "IPX7");
    struct label empty = label_empty();
    rated = rated_of(&empty);
    CHECK(isnan(rated.continuous_a) && isnan(rated.peak_s) && rated.cells == 0 && !rated.claims_ingress);
}
