#include "check.h"

#include "claims/loads.h"

static enum status read_text(const char *text, struct loads *loads, struct message *message)
{
    return loads_read_text("bench.loads", span_of(text), loads, message);
}

static const char bench[] =
    "# invented\n"
    "[inverter]\npower = 1.5 kW\nidle = 17.5 W\nefficiency = 88 %\nlow-voltage cut-off = 10.4 V\n"
    "[panel heater]\npower = 264 W\nbehind inverter = yes\n"
    "[resistor bank]\ncurrent = 19.5 A\n"
    "[travel battery]\npower = 310 W\nbehind inverter = yes\nfills up after = 0.45 kWh\n";

TEST(reads_and_adds_up)
{
    struct loads loads = {0};
    struct message message = {0};
    CHECK(read_text(bench, &loads, &message) == STATUS_OK);
    CHECK_TEXT(message.what, "");
    CHECK(loads.count == 3 && loads.inverter);
    CHECK_NEAR(loads.inverter_w, 1500, 0);
    CHECK_NEAR(loads.efficiency, 0.88, 1e-15);
    CHECK_NEAR(loads.low_v, 10.4, 0);
    CHECK_TEXT(loads.loads[1].name, "resistor bank");
    CHECK_NEAR(loads.loads[2].fills_wh, 450, 1e-9);
    CHECK_NEAR(loads_draw_w(&loads, 1, 12.8), 264 / 0.88 + 17.5, 1e-9);
    CHECK_NEAR(loads_draw_w(&loads, 2, 12.8), 19.5 * 12.8, 1e-9); /* the inverter is off */
    CHECK_NEAR(loads_draw_w(&loads, 7, 12.8), (264 + 310) / 0.88 + 17.5 + 249.6, 1e-9);
    CHECK_NEAR(loads_draw_w(&loads, 0, 12.8), 0, 0);
    CHECK(loads_inverted(&loads, 5) && !loads_inverted(&loads, 2));
    loads_free(&loads);
}

TEST(the_inverter_carries_what_stands_behind_it)
{
    struct loads loads = {0};
    struct message message = {0};
    CHECK(read_text("[inverter]\npower = 500 W\n[a]\npower = 264 W\nbehind inverter = yes\n[b]\npower = 310 W\n"
                    "behind inverter = yes\n[c]\npower = 2 kW\n",
                    &loads, &message) == STATUS_OK);
    CHECK(loads_carried(&loads, 1) && loads_carried(&loads, 2));
    CHECK(!loads_carried(&loads, 3));
    CHECK(loads_carried(&loads, 5)); /* the third is on the sample itself */
    CHECK_NEAR(loads_draw_w(&loads, 1, 12.8), 264 / 0.9, 1e-9); /* efficiency not stated: 90 % */
    loads_free(&loads);
}

static void refuses(const char *text, long line, const char *remedy_part)
{
    struct loads loads = {.count = 77};
    struct message message = {0};
    CHECK(read_text(text, &loads, &message) == STATUS_MALFORMED);
    CHECK_NEAR((double)message.line, (double)line, 0);
    CHECK_TEXT(message.file, "bench.loads");
    CHECK(loads.count == 77); /* untouched */
    if (strstr(message.remedy, remedy_part) == NULL)
        CHECK_TEXT(message.remedy, remedy_part);
}

TEST(what_cannot_be_is_refused)
{
    refuses("", 0, "[kettle]");
    refuses("power = 3 W\n", 1, "[kettle]");
    refuses("[kettle]\npower = -1800 W\n", 2, "above zero");
    refuses("[kettle]\npower = 1800\n", 2, "in W");
    refuses("[kettle]\npower = 18 A\n", 2, "in W");
    refuses("[kettle]\npwer = 1800 W\n", 2, "power");
    refuses("[kettle]\nbehind inverter = perhaps\n", 2, "yes");
    refuses("[kettle]\nfills up after = 300 Wh\n", 2, "power = ");
    refuses("[kettle]\npower = 300 W\ncurrent = 20 A\n", 2, "power = ");
    refuses("[kettle]\npower = 300 W\npower = 320 W\n", 3, "the one that holds");
    refuses("[kettle]\npower = 300 W\nbehind inverter = yes\n", 2, "[inverter]");
    refuses("[inverter]\npower = 2 kW\n[kettle]\ncurrent = 8 A\nbehind inverter = yes\n", 4, "power = ");
    refuses("[inverter]\nidle = 20 W\n[kettle]\npower = 1 kW\n", 0, "power = 2000 W");
    refuses("[inverter]\npower = 2 kW\nefficiency = 110 %\n[kettle]\npower = 1 kW\n", 3, "up to 100");
    refuses("[a]\npower=1W\n[b]\npower=1W\n[c]\npower=1W\n[d]\npower=1W\n[e]\npower=1W\n[f]\npower=1W\n[g]\npower=1W\n"
            "[h]\npower=1W\n[i]\npower=1W\n[j]\npower=1W\n[k]\npower=1W\n[l]\npower=1W\n[m]\npower=1W\n",
            26, "twelve");
}
