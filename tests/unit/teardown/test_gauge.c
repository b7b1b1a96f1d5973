#include "check.h"

#include "teardown/gauge.h"

/* ASTM B258, computed to six digits from its definition; 12, 18 and 24 AWG as printed in wire tables too. */
TEST(american_gauges_have_the_diameters_of_their_law)
{
    static const struct {
        double awg, diameter_mm, area_mm2;
    } rows[] = {{-3, 11.684, 107.2193}, {-1, 9.26584, 67.4309}, {4, 5.18940, 21.1506}, {10, 2.58818, 5.2612},
                {12, 2.05252, 3.3088},  {18, 1.02370, 0.8230},  {24, 0.51056, 0.2047}, {36, 0.127, 0.012668}};
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        CHECK_REL(awg_diameter_mm(rows[k].awg), rows[k].diameter_mm, 2e-5);
        CHECK_REL(awg_area_mm2(rows[k].awg), rows[k].area_mm2, 2e-4);
        CHECK_NEAR(awg_of_area(awg_area_mm2(rows[k].awg)), rows[k].awg, 1e-9);
    }
    CHECK_REL(awg_diameter_mm(5) / awg_diameter_mm(11), 2.0050, 1e-4); /* six gauges halve it, nearly */
}

static struct gauge read_well(const char *words)
{
    struct gauge gauge = {0};
    struct message message;
    CHECK(gauge_read(span_of(words), &gauge, &message) == STATUS_OK);
    return gauge;
}

TEST(sizes_are_read_as_people_write_them)
{
    CHECK_REL(read_well("10 AWG").area_mm2, 5.2612, 1e-4);
    CHECK_REL(read_well("AWG 8").area_mm2, 8.3656, 1e-4);
    CHECK_REL(read_well(" 2/0 awg ").area_mm2, 67.4309, 1e-4);
    CHECK_NEAR(read_well("16 mm²").area_mm2, 16, 0);
    CHECK_NEAR(read_well("2.5mm2").area_mm2, 2.5, 0);
    struct gauge four = read_well("4 × 10 AWG"), six = read_well("6x1.5 mm²"), bar = read_well("2 x 20 mm");
    CHECK(four.parallel == 4 && six.parallel == 6 && bar.parallel == 1 && bar.flat);
    CHECK_REL(gauge_area_mm2(&four), 4 * 5.2612, 1e-4);
    CHECK_NEAR(gauge_area_mm2(&six), 9, 1e-12);
    CHECK_NEAR(bar.width_mm, 20, 0);
    CHECK_NEAR(read_well("3 x 15 mm x 1.5 mm").parallel, 3, 0);
}

TEST(what_is_no_size_is_refused)
{
    static const char *const bad[] = {"", "10", "AWG", "10 AWGs", "5/0 AWG", "-4 mm²", "0 x 10 AWG", "2.5 x 4 mm²", "99 AWG",
                                      "1e9 mm²", "10 V", "x 4 mm", "4 x", "nan mm²"};
    for (size_t k = 0; k < sizeof bad / sizeof bad[0]; k++) {
        struct gauge gauge = {.parallel = -7};
        struct message message;
        CHECK(gauge_read(span_of(bad[k]), &gauge, &message) == STATUS_USAGE);
        CHECK(gauge.parallel == -7 && message.remedy[0] != '\0');
    }
}

TEST(sizes_are_printed_to_be_read_again)
{
    static const char *const words[] = {"10 AWG", "3/0 AWG", "16 mm²", "4 × 12 AWG", "25 × 3 mm"};
    static const char *const shown[] = {"10 AWG (5.26 mm²)", "3/0 AWG (85.0 mm²)", "16 mm²", "4 × 12 AWG (3.31 mm²)",
                                        "25 × 3 mm bar"};
    for (size_t k = 0; k < sizeof words / sizeof words[0]; k++) {
        struct gauge gauge = read_well(words[k]);
        char buffer[64];
        gauge_print(&gauge, buffer, sizeof buffer);
        CHECK_TEXT(buffer, shown[k]);
    }
}
