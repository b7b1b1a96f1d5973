#include "check.h"
#include "driven.h"

#include "instrument/serve.h"

#include <stdatomic.h>

static struct driven d;
static struct message message;

/* What is heard, one after another: cells, or the name of anything else. */
static const char *next(double seconds)
{
    static const char *const names[] = {"reading", "nothing", "garbage", "lost", "end"};
    enum heard heard = driven_hear(&d, seconds);
    return heard == HEARD_READING ? driven_cells(&d) : names[heard];
}

struct meter {
    const struct clock *clock;
    atomic_int shown;
    atomic_bool dark;
};

/* A row each half second; its tally starts again at the fifth. */
static bool next_row(void *context, struct serve_row *ret_row, bool *ret_dark)
{
    struct meter *meter = context;
    meter->clock->wait_ns(meter->clock->context, meter->clock->now_ns(meter->clock->context) + 500000000);
    int n = meter->shown++ % 5;
    *ret_row =
        (struct serve_row){.time_s = n * 0.5, .cells = {decimal_of(13.271, 3), decimal_of(n * 0.013, 3)}};
    if (n == 3)
        ret_row->cells[0].kind = DECIMAL_OVERLOAD;
    *ret_dark = meter->dark;
    return true;
}

TEST(the_servers_lines_through_a_reboot_and_darkness)
{
    struct clock_paced pace;
    struct clock clock = clock_at_rate(&pace, 50);
    struct meter meter = {.clock = &clock};
    struct serve_view view = {.channels = {CHANNEL_VOLTAGE, CHANNEL_CHARGE_TALLY},
                              .channel_count = 2,
                              .next = next_row,
                              .context = &meter};
    struct server *server;
    int port;
    CHECK(serve_lines(&view, 0, &server, &port, &message) == STATUS_OK);
    CHECK(driven_prepare(&d, 50,
                         "driver = lines\naddress = tcp 127.0.0.1:%d\ntime from = field 1\n"
                         "voltage from = field 2\ncharge tally from = field 3\n",
                         port) == STATUS_OK);
    CHECK(driven_connect(&d) == STATUS_OK);
    double last_s = -1;
    int restarts = 0, overloads = 0;
    for (int k = 0; k < 10; k++) {
        CHECK(driven_hear(&d, 100) == HEARD_READING);
        double time_s = decimal_value(d.arrival.time);
        int n = (int)lround(time_s * 2);
        CHECK_NEAR(decimal_value(d.arrival.cells[1]), n * 0.013, 1e-12);
        CHECK(d.arrival.cells[0].kind == (n == 3 ? DECIMAL_OVERLOAD : DECIMAL_NUMBER));
        restarts += time_s < last_s;
        overloads += n == 3;
        last_s = time_s;
    }
    CHECK(restarts >= 1 && overloads == 2);
    meter.dark = true;
    int on_its_way = 0;
    while (driven_hear(&d, 5) == HEARD_READING)
        on_its_way++;
    CHECK(on_its_way < 5);
    meter.dark = false;
    CHECK(driven_hear(&d, 100) == HEARD_READING);
    driven_end(&d);
    server_stop(server);
}

/* First half a line that looks like a whole one, then faults, then the cable is pulled in the middle of a line. */
static void play_faults(int fd, int nth)
{
    say(fd, "2.90;-3.05\r\n");
    say(fd, "12.91;-3.05\n");
    say(fd, "\n\r\n12.92");
    usleep(3000);
    say(fd, ";-3.06\nbooting...\n12.93;OL\n12.94\n");
    char noise[40000];
    memset(noise, '7', sizeof noise);
    if (write(fd, noise, sizeof noise) < 0)
        return;
    say(fd, "\n12.95;-3.07\r12.9");
}

TEST(faults_of_a_line)
{
    struct far_side far;
    far_side_start(&far, play_faults, 2);
    CHECK(driven_prepare(&d, 10,
                         "driver = lines\naddress = tcp 127.0.0.1:%d\nvoltage from = field 1\n"
                         "current from = field 2\n",
                         far.port) == STATUS_OK);
    static const char *const heard[] = {"12.91 -3.05", "12.92 -3.06", "garbage", "12.93 OL", "garbage",
                                        "garbage",     "12.95 -3.07", "garbage", "lost"};
    static const char *const why[] = {[2] = "no reading: `booting...`: ",
                                      [4] = "1 fields where 2 are needed",
                                      [5] = "longer than",
                                      [7] = "broke off",
                                      [8] = "closed the connection"};
    for (int turn = 0; turn < 2; turn++) {
        CHECK(driven_connect(&d) == STATUS_OK);
        for (size_t k = 0; k < sizeof heard / sizeof *heard; k++) {
            CHECK_TEXT(next(100), heard[k]);
            if (k < sizeof why / sizeof *why && why[k] != NULL)
                CHECK(strstr(d.message.what, why[k]) != NULL);
        }
        d.driver->disconnect(d.state);
    }
    driven_end(&d);
    far_side_end(&far);
}

TEST(a_serial_line_and_its_unplugging)
{
    if (peer_tool("socat") == NULL)
        SKIP("socat is not installed");
    char folder[128], near[160], far[160], pair[2][200];
    peer_folder(folder, sizeof folder);
    snprintf(near, sizeof near, "%s/near", folder);
    snprintf(far, sizeof far, "%s/far", folder);
    snprintf(pair[0], sizeof pair[0], "pty,raw,echo=0,link=%s", near);
    snprintf(pair[1], sizeof pair[1], "pty,raw,echo=0,link=%s", far);
    struct peer socat = peer_start((const char *const[]){"socat", pair[0], pair[1], NULL});
    int fd = -1;
    for (int k = 0; k < 200 && (fd < 0 || access(near, R_OK) != 0); k++) {
        usleep(5000);
        if (fd < 0)
            fd = open(far, O_RDWR | O_NOCTTY);
    }
    CHECK(fd >= 0);
    CHECK(driven_prepare(
              &d, 10,
              "driver = lines\naddress = serial %s 9600 8N1\nsetup = start\nvoltage from = key pack.v\n",
              near) == STATUS_OK);
    CHECK(driven_connect(&d) == STATUS_OK);
    char line[64];
    CHECK(listen_to(fd, line, sizeof line));
    CHECK_TEXT(line, "start");
    say(fd, "k\":{\"v\":1.0}}\r\n{\"pack\":{\"v\":13.2710}}\r\n{\"pack\":{\"v\":13.");
    CHECK_TEXT(next(100), "13.2710");
    CHECK_TEXT(next(0.2), "nothing");
    say(fd, "26}}\r\n");
    CHECK_TEXT(next(100), "13.26");
    say(fd, "{\"pack\":{\"v\":13.2");
    usleep(20000);
    peer_stop(&socat);
    const char *after = next(100);
    if (strcmp(after, "garbage") == 0) /* the half */
        after = next(100);
    CHECK_TEXT(after, "lost");
    d.driver->disconnect(d.state);
    CHECK(driven_connect(&d) == STATUS_UNREADABLE);
    CHECK(strstr(d.message.what, near) != NULL && d.message.remedy[0] != '\0');
    driven_end(&d);
    close(fd);
    unlink(near), unlink(far), rmdir(folder);
}

TEST(standard_input_to_its_end)
{
    int ends[2], kept = dup(STDIN_FILENO);
    CHECK(pipe(ends) == 0);
    dup2(ends[0], STDIN_FILENO);
    CHECK(driven_prepare(&d, 10,
                         "driver = lines\naddress = stdin\nvoltage from = field 2\ntime from = field 1\n") ==
          STATUS_OK);
    CHECK(driven_connect(&d) == STATUS_OK);
    say(ends[1], "time volts\n0:00:01 12.90\n0:00:02 12.91\n0:00:03 12");
    close(ends[1]);
    CHECK_TEXT(next(100), "12.90"); /* the header is no garbage */
    CHECK_NEAR(decimal_value(d.arrival.time), 1, 0);
    CHECK_TEXT(next(100), "12.91");
    CHECK_TEXT(next(100), "garbage");
    CHECK_TEXT(next(100), "end");
    driven_end(&d);
    dup2(kept, STDIN_FILENO);
    close(kept), close(ends[0]);
}

static void append(const char *path, const char *text)
{
    int fd = open(path, O_WRONLY | O_CREAT | O_APPEND, 0600);
    say(fd, text);
    close(fd);
}

TEST(a_growing_file_through_rotation_and_truncation)
{
    char folder[128], path[160], old[160];
    peer_folder(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/log.csv", folder);
    snprintf(old, sizeof old, "%s/log.1", folder);
    append(path, "volts;amps\n12.90;3.05\n");
    CHECK(driven_prepare(&d, 20,
                         "driver = file\naddress = %s\nvoltage from = field 1\ncurrent from = field 2\n",
                         path) == STATUS_OK);
    CHECK(driven_connect(&d) == STATUS_OK);
    CHECK_TEXT(next(0.3), "nothing"); /* what was written before is not of now */
    append(path, "12.91;3.05\n12.9");
    CHECK_TEXT(next(100), "12.91 3.05");
    CHECK_TEXT(next(0.3), "nothing");
    append(path, "2;3.06\n");
    CHECK_TEXT(next(100), "12.92 3.06");
    append(path, "12.93;3.06\n");
    CHECK(rename(path, old) == 0);
    append(old, "12.94;3.06\n"); /* the writer may be late */
    append(path, "12.95;3.07\n");
    CHECK_TEXT(next(100), "12.93 3.06");
    CHECK_TEXT(next(100), "12.94 3.06");
    CHECK_TEXT(next(100), "12.95 3.07");
    append(path, "12.");
    CHECK_TEXT(next(1), "nothing");
    CHECK(truncate(path, 0) == 0);
    CHECK_TEXT(next(100), "garbage"); /* the half before the cut */
    append(path, "12.96;3.07\n");
    CHECK_TEXT(next(100), "12.96 3.07");
    unlink(path);
    CHECK_TEXT(next(1), "nothing");
    append(path, "12.97;3.07\n");
    CHECK_TEXT(next(100), "12.97 3.07");
    driven_end(&d);
    unlink(path), unlink(old), rmdir(folder);
}

TEST(a_file_from_its_beginning_or_before_it_is_there)
{
    char folder[128], path[160];
    peer_folder(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/log.csv", folder);
    CHECK(driven_prepare(&d, 20, "driver = file\naddress = %s\nvoltage from = field 1\nstart = beginning\n",
                         path) == STATUS_MALFORMED);
    CHECK(d.message.line == 5 && strstr(d.message.what, "need their own time") != NULL);
    driven_end(&d);
    CHECK(driven_prepare(&d, 20, "driver = file\naddress = %s\nvoltage from = field 1\n", path) == STATUS_OK);
    CHECK(driven_connect(&d) == STATUS_UNREADABLE);
    append(path, "volts\n12.90 V\n12.91 V\n");
    CHECK(driven_connect(&d) == STATUS_OK);
    CHECK_TEXT(next(100), "12.90"); /* all of it is new */
    CHECK_TEXT(next(100), "12.91");
    driven_end(&d);
    CHECK(truncate(path, 0) == 0);
    append(path, "volts;at\n12.92 V;7.25\n");
    CHECK(driven_prepare(&d, 20,
                         "driver = file\naddress = %s\nvoltage from = field 1\ntime from = field 2 in min\n"
                         "start = beginning\n",
                         path) == STATUS_OK);
    CHECK(driven_connect(&d) == STATUS_OK);
    CHECK_TEXT(next(100), "12.92"); /* written before, and it says when */
    CHECK_NEAR(unit_own(decimal_value(d.arrival.time), &d.link->time_source.unit), 435, 1e-9);
    driven_end(&d);
    unlink(path), rmdir(folder);
}
