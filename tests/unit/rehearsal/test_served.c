/* From the rig file that a rehearsal writes, through sockets and drivers, back to the rows that it knew beforehand. */
#include "check.h"

#include "instrument/runner.h"
#include "intake/rig_links.h"
#include "rehearsal/served.h"

static struct script script;
static struct rehearsal *played;
static struct clock_paced paced;
static struct clock fast;
static struct served *served;
static struct links links;
static struct message message;

static const double speed = 2000;

static void set_up(const char *dark)
{
    struct text text = TEXT_EMPTY;
    text_addf(&text,
              "seed = 3\n[pack]\ncharged = 18 %%\n[shunt meter]\nwhen dark = %s\n"
              "[program]\nrest = 3 min\ndischarge = 50 A, until cut-off\nrest = 4 min\n"
              "charge = 20 A, to 14.4 V, for 5 min\n",
              dark);
    CHECK(script_read_text("s", span_of(text_string(&text)), &script, &message) == STATUS_OK);
    text_free(&text);
    played = rehearsal_new(&script);
    fast = clock_at_rate(&paced, speed);
    struct bench_ports any = {0};
    CHECK(served_open(played, &fast, &any, false, &served, &message) == STATUS_OK);
    bench_rig(played, served_ports(served), speed, &text);
    enum status status = rig_links_read_text("bench.rig", span_of(text_string(&text)), &links, &message);
    if (status != STATUS_OK)
        printf("    %ld: %s. %s\n", message.line, message.what, message.remedy);
    CHECK(status == STATUS_OK && links.count == METERS);
    text_free(&text);
}

static void tear_down(void)
{
    served_close(served);
    links_free(&links);
    rehearsal_free(played);
    script_free(&script);
}

/* The row with that time of the meter's own; fails the test when there is none. */
static size_t row_at(const struct shown *shown, double t_s)
{
    size_t from = 0, to = shown->count;
    while (from < to) {
        size_t middle = from + (to - from) / 2;
        if (shown->t_s[middle] < t_s - 6e-4) /* times are served in milliseconds */
            from = middle + 1;
        else
            to = middle;
    }
    CHECK(from < shown->count);
    CHECK_NEAR(shown->t_s[from], t_s, 6e-4);
    return from;
}

struct tale {
    size_t readings[METERS], lost[METERS];
    double last_ah, last_v;
};

static void check_reading(const struct news *news, struct tale *tale)
{
    const struct shown *shown = &played->shown[news->instrument];
    const struct decimal *cells = news->arrival.cells;
    double t_s = decimal_value(news->arrival.time) * (news->instrument == METER_SHUNT ? 1e-3 : 1);
    size_t row = row_at(shown, t_s);
    switch (news->instrument) {
    case METER_BENCH:
        CHECK_NEAR(decimal_value(cells[0]), shown->v[row], 1e-9);
        CHECK_NEAR(decimal_value(cells[1]), shown->a[row], 1e-9);
        tale->last_v = decimal_value(cells[0]);
        break;
    case METER_SHUNT:
        CHECK_NEAR(decimal_value(cells[0]) / 1000, shown->v[row], 5.1e-4);
        CHECK_NEAR(decimal_value(cells[2]) / 1000, shown->tally_ah[row], 5.1e-4);
        CHECK_NEAR(decimal_value(cells[3]) / 1000, shown->tally_wh[row], 5.1e-4);
        tale->last_ah = decimal_value(cells[2]) / 1000;
        break;
    default: CHECK_NEAR(decimal_value(cells[0]), shown->degc[row], 1e-9);
    }
    tale->readings[news->instrument]++;
}

/* Listens until the script is over. */
static struct tale listen(void)
{
    struct tale tale = {.last_v = NAN};
    struct runner *runner;
    CHECK(runner_prepare(&links, drivers, &fast, 4096, &runner, &message) == STATUS_OK);
    CHECK(runner_start(runner, &message) == STATUS_OK);
    static struct news news[64];
    while (!live_over(served_live(served))) {
        size_t count = runner_take(runner, news, 64, 20);
        for (size_t k = 0; k < count; k++) {
            if (news[k].kind == NEWS_READING)
                check_reading(&news[k], &tale);
            else if (news[k].kind == NEWS_LOST || news[k].kind == NEWS_SILENT)
                tale.lost[news[k].instrument]++;
        }
    }
    live_stop(served_live(served));
    runner_stop(runner);
    runner_free(runner);
    return tale;
}

TEST(every_reading_that_arrives_is_a_row_of_the_rehearsal)
{
    set_up("tally stays");
    CHECK(!live_begun(served_live(served)));
    struct tale tale = listen();
    printf("    of %zu, %zu, %zu rows came %zu, %zu, %zu\n", played->shown[0].count, played->shown[1].count,
           played->shown[2].count, tale.readings[0], tale.readings[1], tale.readings[2]);
    /* A busy machine misses rows at this speed; none may be made up. */
    CHECK(tale.readings[METER_BENCH] > 50);
    CHECK(tale.readings[METER_SHUNT] > 20);
    CHECK(tale.readings[METER_PROBE] > 50);
    CHECK(tale.last_v > 8); /* woken, and charging */
    CHECK(tale.last_ah > 1);
    CHECK(tale.lost[METER_SHUNT] > 0); /* dark for four minutes */
    tear_down();
}

TEST(a_port_that_is_taken_is_named)
{
    set_up("tally stays");
    struct bench_ports same = *served_ports(served);
    struct served *second;
    CHECK(served_open(played, &fast, &same, false, &second, &message) != STATUS_OK);
    CHECK(strstr(message.what, "port") != NULL && message.remedy[0] != '\0');
    tear_down();
}
