#include "check.h"

#include "intake/readings.h"

#include <unistd.h>

static struct message message;
static struct notices notices;
static struct sightings got;

static enum status parse(const char *text)
{
    memset(&message, 0, sizeof message);
    notices_free(&notices);
    sightings_free(&got);
    return readings_read_text("hut.readings", span_of(text), &got, &notices, &message);
}

static bool good(const char *text)
{
    if (parse(text) == STATUS_OK)
        return true;
    printf("    %ld:%ld %s. %s\n", message.line, message.column, message.what, message.remedy);
    return false;
}

/* Instants of a file of times alone, each with one reading. */
static bool times_are(const char *headings, const char *const *times, const double *want)
{
    struct text text = TEXT_EMPTY;
    text_add(&text, headings);
    for (size_t k = 0; times[k] != NULL; k++)
        text_addf(&text, "%s 12.9 V\n", times[k]);
    bool same = good(text_string(&text));
    for (size_t k = 0; same && times[k] != NULL; k++)
        if (!(fabs(got.instants[k].t_s - want[k]) < 1e-6 || (isnan(want[k]) && isnan(got.instants[k].t_s)))) {
            printf("    %s is %g s, not %g s\n", times[k], got.instants[k].t_s, want[k]);
            same = false;
        }
    text_free(&text);
    return same;
}

TEST(a_dozen_lines_are_a_test)
{
    CHECK(good("\xEF\xBB\xBFtitle: Hut pack, second evening\r\n"
               "kind: discharge\r\n"
               "Load: constant power, an inverter # of the hut\r\n"
               "frame rate: 29.97 drop\r\n"
               "how: filmed\r\n"
               "# Invented.\r\n"
               "\r\n"
               "0:00:00;00  13.31 V 0.0 A  rested\r\n"
               "0:01:00;02  12.91 V 24.8 A 320 W  inverter on\r\n"
               "1:00:00;00  12.80 V ~25 A 25.1 Ah (remembered)\r\n"
               "note: door opened\r\n"
               "how: seen\r\n"
               "            12.41 V 30.2 Ah\r\n"
               "1:30:00;00  --  cut-off\r\n"));
    CHECK(got.count == 5 && got.clips == 1 && got.tied && got.invented);
    CHECK(got.direction == 1 && got.law == LOAD_POWER && isnan(got.start_utc_s));
    CHECK_TEXT(got.title, "Hut pack, second evening");
    CHECK_NEAR(got.instants[0].t_s, 0, 0);
    CHECK_NEAR(got.instants[1].t_s, 1800 * 1001.0 / 30000, 1e-9);
    CHECK_NEAR(got.instants[2].t_s, 3599.9964, 1e-9); /* frame 107 892 */
    CHECK_NEAR(got.instants[1].halfwidth_s, 1001.0 / 60000, 1e-9);
    CHECK(isnan(got.instants[3].t_s) && got.instants[3].line == 13);
    CHECK(got.instants[1].values[0].had == HAD_FILMED && got.instants[3].values[0].had == HAD_SEEN);
    CHECK(got.instants[2].values[1].had == HAD_FILMED && got.instants[2].values[2].had == HAD_REMEMBERED);
    CHECK_TEXT(got.instants[4].words, "dark cut-off");
    CHECK(notices.count == 1 && strcmp(notices.items[0].text, "door opened") == 0 && notices.items[0].line == 11);
    sightings_free(&got);
    notices_free(&notices);
}

TEST(times_are_settled_by_what_stands_in_the_file)
{
    CHECK(times_are("", (const char *const[]){"1:02:03", "1:02:13", "-", "2:00:00", NULL}, (double[]){0, 10, NAN, 3477}));
    CHECK(times_are("", (const char *const[]){"0:00", "12:30", "62:03", NULL}, (double[]){0, 750, 3723}));
    CHECK(times_are("", (const char *const[]){"12:30", "58:00", "62:03", NULL}, (double[]){0, 2730, 2973})); /* 62 is no hour */
    CHECK(times_are("", (const char *const[]){"12:30", "15 min", NULL}, (double[]){0, 149.5}));
    CHECK(times_are("times: clock\n", (const char *const[]){"14:32", "15:02", NULL}, (double[]){0, 1800}));
    CHECK(times_are("", (const char *const[]){"11:50 pm", "12:05 am", NULL}, (double[]){0, 900}));
    CHECK(times_are("times: clock\n", (const char *const[]){"22:15:00", "23:59:30", "0:10:00", "23:00:00", "9:00:00", NULL},
                    (double[]){0, 6270, 6900, 89100, 125100}));
    CHECK(parse("14:32 12.9 V\n15:02 12.8 V\n") == STATUS_AMBIGUOUS);
    CHECK(message.line == 1 && strstr(message.remedy, "times: clock") != NULL);
    CHECK(good("0:00 12.9 V\n0:30 12.8 V\n")); /* taken for the start, and said so */
    CHECK(notices.count == 1 && strstr(notices.items[0].text, "times: clock") != NULL);
    CHECK(parse("1:02:03 12.9 V\n1:02:01 12.9 V\n") == STATUS_MALFORMED && message.line == 2);
    CHECK(parse("times: clock\n14:32 12.9 V\n10 min 12.9 V\n") == STATUS_MALFORMED && message.line == 3);
    sightings_free(&got);
}

/* `14:32` is somewhere in its minute: beside 14:32:50 only its last seconds are left. */
TEST(coarse_times_keep_their_bounds_and_the_order)
{
    CHECK(good("times: clock\n14:32:50 12.9 V\n14:32 12.8 V\n14:33:10 12.7 V\n"));
    CHECK(got.instants[1].t_s >= got.instants[0].t_s && got.instants[2].t_s >= got.instants[1].t_s);
    double lo = got.instants[1].t_s - got.instants[1].halfwidth_s, hi = got.instants[1].t_s + got.instants[1].halfwidth_s;
    CHECK(lo <= 0 && hi >= 9.5); /* 14:33:00 is 9.5 s after the middle of 14:32:50 */
    CHECK(parse("times: clock\n14:33:50 12.9 V\n14:32 12.8 V\n") == STATUS_MALFORMED);
    sightings_free(&got);
}

TEST(dates_and_zones)
{
    CHECK(good("date: 2026-03-14\nzone: +01:00\ntimes: clock\n14:32:00 12.9 V\n"));
    /* 2026-03-14T13:32:00Z: 20526 days of 86 400 s since 1970 (computed), and half a second */
    CHECK_NEAR(got.start_utc_s, 20526 * 86400.0 + 13 * 3600 + 32 * 60 + 0.5, 1e-6);
    CHECK(got.zone_known);
    CHECK(good("date: 2026-03-14\n0:00:00 12.9 V\n") && isnan(got.start_utc_s) && !got.zone_known);
    CHECK(good("date: 2026-03-14\ntimes: clock\n14:32:00 12.9 V\n") && !got.zone_known && !isnan(got.start_utc_s));
    CHECK(parse("date: 2026-04-31\n0:00:00 12.9 V\n") == STATUS_MALFORMED && message.column == 7);
    CHECK(parse("date: 14.3.26\n0:00:00 12.9 V\n") == STATUS_MALFORMED);
    CHECK(parse("zone: CET\n0:00:00 12.9 V\n") == STATUS_MALFORMED);
    sightings_free(&got);
}

TEST(clips)
{
    CHECK(good("frame rate: 25\nclip 1\n0:00:10:00 12.9 V\n0:00:20:00 12.8 V\nclip: later that night\n0:00:05:00 12.5 V\n-- end\n0:00:06:00 12.4 V\n"));
    CHECK(got.clips == 2 && !got.tied);
    CHECK_NEAR(got.instants[1].t_s, 10, 1e-9);
    CHECK_NEAR(got.instants[2].t_s, 0, 0);
    CHECK_NEAR(got.instants[4].t_s, 1, 1e-9);
    CHECK(got.instants[3].clip == 1 && got.instants[1].clip == 0);
    CHECK(good("frame rate: variable\nclip: A, starts 23:50:00\n1:00 12.9 V\nclip: B, starts 0:20:05\n0:00:05:12 12.5 V\n"));
    CHECK(got.clips == 2 && got.tied);
    CHECK_NEAR(got.instants[1].t_s, 29 * 60 + 10, 1e-9);
    CHECK_NEAR(got.instants[1].halfwidth_s, 1, 1e-9); /* half a second of the frame's second, half of the start's */
    CHECK(parse("clip: A, starts 14:31\n0:00:01 12.9 V\n") == STATUS_MALFORMED && message.column == 17);
    CHECK(parse("times: clock\nclip: A, starts 14:31:00\n14:32 12.9 V\n") == STATUS_MALFORMED && message.line == 2);
    CHECK(parse("clip: A, starts 14:31:00\n0:05:00 12.9 V\nclip: B, starts 14:33:00\n0:01 12.9 V\n") == STATUS_MALFORMED && message.line == 4);
    CHECK(good("0:00:01 12.9 V\nclip fell off 12.8 V\n") && got.clips == 1);
    sightings_free(&got);
}

TEST(headings_that_do_not_fit_are_faults)
{
    static const struct { const char *text; long line, column; const char *remedy; } bad[] = {
        {"titel: hut\n0:01:00 12.9 V\n", 1, 1, "`title` was meant, perhaps"},
        {"burst: 12.9 V\n", 1, 1, NULL},
        {"0:01:00 12.9 V\nload: constant power\n", 2, 1, "move it up"},
        {"load: big\n0:01:00 12.9 V\n", 1, 7, NULL},
        {"frame rate: 26.1\n", 1, 13, NULL},
        {"frame rate: 25 or so\n", 1, 15, NULL},
        {"columns: V furlong\n", 1, 12, NULL},
        {"columns: V s\n", 1, 12, NULL},
        {"how: dreamt\n", 1, 6, NULL},
        {"title:\n", 1, 1, NULL},
        {"0:00:01 12.9 V\n0:00:02 21 \xB0" "C\n", 2, 12, NULL}, /* Latin-1 */
        {"# nothing\n", 0, 0, NULL},
    };
    for (size_t k = 0; k < sizeof bad / sizeof *bad; k++) {
        CHECK(parse(bad[k].text) != STATUS_OK);
        CHECK_TEXT(message.file, "hut.readings");
        CHECK_NEAR((double)message.line, (double)bad[k].line, 0);
        CHECK_NEAR((double)message.column, (double)bad[k].column, 0);
        CHECK(bad[k].remedy == NULL ? message.remedy[0] != '\0' : strcmp(message.remedy, bad[k].remedy) == 0);
    }
    CHECK(readings_read("/no/such/readings", &got, &notices, &message) == STATUS_UNREADABLE);
}

TEST(decimal_signs_and_columns_by_heading)
{
    CHECK(parse("0:01:00 13,205 V\n") == STATUS_AMBIGUOUS);
    CHECK_TEXT(message.what, "`13,205` can be 13.205 or 13205");
    CHECK_TEXT(message.remedy, "write 13.205 or 13205, or state `decimal: comma` above the readings");
    CHECK(good("decimal: comma\n0:01:00 13,205 V\n"));
    CHECK_NEAR(got.instants[0].values[0].value, 13.205, 1e-12);
    CHECK(good("columns: min V A Ah\n0 13.2 0.0 0\n7.5 12.9 24.8 3.1 burst\n"));
    CHECK(got.instants[1].count == 3);
    CHECK_NEAR(got.instants[1].t_s, 450, 1e-9);
    sightings_free(&got);
}

TEST(film_is_filmed_unless_the_file_says_otherwise)
{
    CHECK(good("frame rate: 25\n0:00:01:02 12.9 V\n") && got.instants[0].values[0].had == HAD_FILMED);
    CHECK(good("how: seen\nframe rate: 25\n0:00:01:02 12.9 V\n") && got.instants[0].values[0].had == HAD_SEEN);
    CHECK(good("0:00:01 12.9 V\n") && got.instants[0].values[0].had == HAD_SEEN);
    sightings_free(&got);
}

/* Cutting a file in two clips that both have their start gives the same run. */
TEST(a_cut_film_is_the_same_run)
{
    static const double at[] = {0, 12, 61, 700, 725, 3600, 3605, 7211};
    enum { N = sizeof at / sizeof *at };
    for (int cut = 1; cut < N; cut++) {
        struct text text = TEXT_EMPTY;
        for (int k = 0; k < N; k++) {
            int clip_start = k >= cut ? (int)at[cut] : 0, s = (int)at[k] - clip_start, start = 20 * 3600 + clip_start;
            if (k == 0 || k == cut)
                text_addf(&text, "clip: %d, starts %d:%02d:%02d\n", k, start / 3600, start / 60 % 60, start % 60);
            text_addf(&text, "%d:%02d:%02d %.2f V\n", s / 3600, s / 60 % 60, s % 60, 13.2 - k * 0.11);
        }
        CHECK(good(text_string(&text)));
        for (size_t k = 0; k < got.count; k++)
            CHECK_NEAR(got.instants[k].t_s, at[k], 1e-9);
        text_free(&text);
    }
    sightings_free(&got);
}

static bool looks(const char *name, const char *text)
{
    char path[] = "rundown-readings-XXXXXX";
    char full[128];
    int descriptor = mkstemp(path);
    FILE *file = fdopen(descriptor, "w");
    if (file == NULL)
        return false;
    fputs(text, file);
    fclose(file);
    snprintf(full, sizeof full, "%s%s", path, name);
    if (rename(path, full) != 0)
        return false;
    bool like = readings_look_like(full);
    unlink(full);
    return like;
}

TEST(told_from_logs_by_content)
{
    CHECK(looks("", "# evening\ntitle: hut\n0:00:00 12.9 V 24.8 A\n0:01:00 12.8 V 24.9 A burst\ncut-off\n"));
    CHECK(looks(".txt", "0:00:08:09 13.57 V -0.1 A 19 C\n0:10:15:05 13.18 V 22.6 A\n"));
    CHECK(looks(".txt", "columns: min V A\n0 13.2 0.0\n10 12.9 24.8\n"));
    CHECK(looks(".readings", "nonsense\n"));
    CHECK(!looks(".csv", "Time (s),Voltage (V),Current (A)\n0,12.9,24.8\n1,12.9,24.8\n"));
    CHECK(!looks(".csv", "Date: 2026-03-14\nTitle: run 4\nTime;Voltage;Current\n0;12,9;24,8\n1;12,9;24,8\n"));
    CHECK(!looks(".txt", "0.0 12.91 24.8\n1.0 12.90 24.8\n2.0 12.90 24.8\n"));
    CHECK(!looks(".csv", "2026-03-14T10:00:00,12.91,24.8\n2026-03-14T10:00:01,12.91,24.8\n"));
    CHECK(!looks(".csv", ""));
    CHECK(!readings_look_like("/no/such/file"));
}

/* The example of the document is a file of readings. */
TEST(the_document_tells_the_truth)
{
    struct text text = TEXT_EMPTY;
    CHECK(text_read_file("docs/readings.md", 1 << 20, &text) == 0);
    const char *start = strstr(text_string(&text), "```\n"), *end = start != NULL ? strstr(start + 4, "```\n") : NULL;
    CHECK(end != NULL);
    if (end == NULL)
        return;
    struct text example = TEXT_EMPTY;
    text_add_bytes(&example, start + 4, (size_t)(end - start - 4));
    CHECK(good(text_string(&example)));
    CHECK(got.count == 12 && got.law == LOAD_POWER && got.invented && notices.count == 0);
    CHECK_NEAR(got.instants[11].values[0].hi, 104, 0);
    CHECK(got.instants[7].values[1].had == HAD_SEEN);
    text_free(&example);
    text_free(&text);
    sightings_free(&got);
}

TEST(the_demo_is_read)
{
    static const char *const paths[] = {"demo/hut-pack.readings", "demo/bivouac-pack.readings"};
    for (int k = 0; k < 2; k++) {
        struct sightings demo;
        notices_free(&notices);
        CHECK(readings_look_like(paths[k]));
        CHECK(readings_read(paths[k], &demo, &notices, &message) == STATUS_OK);
        CHECK(demo.count >= 12 && demo.invented && demo.tied && demo.direction == 1 && notices.count == 0);
        sightings_free(&demo);
    }
}
