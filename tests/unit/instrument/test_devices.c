#include "instrument/devices.h"

#include "check.h"
#include "peer.h"

#include <sys/stat.h>

static void make(const char *root, const char *path, const char *content)
{
    char whole[256];
    snprintf(whole, sizeof whole, "%s/%s", root, path);
    for (char *slash = whole + strlen(root) + 1; (slash = strchr(slash, '/')) != NULL; *slash++ = '/') {
        *slash = '\0';
        mkdir(whole, 0700);
    }
    FILE *file = fopen(whole, "w");
    if (file == NULL || fputs(content, file) < 0 || fclose(file) != 0)
        abort();
}

TEST(usbtmc_devices_say_who_they_are)
{
    char root[64], want[160];
    peer_folder(root, sizeof root);
    make(root, "dev/usbtmc10", "");
    make(root, "dev/usbtmc2", "");
    make(root, "dev/usbtmc", "");
    make(root, "dev/usbtmcx", "");
    make(root, "dev/ttyUSB0", "");
    make(root, "sys/class/usbmisc/usbtmc2/device/x", "");
    make(root, "sys/class/usbmisc/usbtmc2/manufacturer", "Invented\n");
    make(root, "sys/class/usbmisc/usbtmc2/product", "  Bench meter \n");
    make(root, "sys/class/usbmisc/usbtmc2/serial", "\x1b[2J\xFF\n");
    struct devices devices;
    devices_find(root, &devices);
    CHECK(devices.count == 2);
    snprintf(want, sizeof want, "usbtmc %s/dev/usbtmc2", root);
    CHECK_TEXT(devices.items[0].address, want);
    CHECK_TEXT(devices.items[0].about, "Invented Bench meter");
    CHECK(devices.items[0].ours);
    snprintf(want, sizeof want, "usbtmc %s/dev/usbtmc10", root);
    CHECK_TEXT(devices.items[1].address, want);
    CHECK_TEXT(devices.items[1].about, "");
    devices_free(&devices);
    CHECK(devices.items == NULL);
    peer_sweep(root);
}

TEST(a_machine_without_any_has_none)
{
    char root[64];
    peer_folder(root, sizeof root);
    struct devices devices;
    devices_find(root, &devices);
    CHECK(devices.count == 0);
    devices_free(&devices);
    peer_sweep(root);
}

TEST(the_serial_lines_of_this_machine_are_files)
{
    struct devices devices;
    devices_find("", &devices);
    for (size_t k = 0; k < devices.count; k++) {
        const char *path = strchr(devices.items[k].address, ' ') + 1;
        CHECK(access(path, F_OK) == 0);
    }
    devices_free(&devices);
}

static enum status alone(const char *driver, const char *address)
{
    struct link link = {.name = "invented meter", .file = "hut.rig", .line = 4};
    struct links links = {.items = &link, .count = 1};
    struct message message = {0};
    span_copy(span_of(driver), link.driver, sizeof link.driver);
    span_copy(span_of(address), link.address, sizeof link.address);
    enum status status = devices_alone(&links, &message);
    CHECK(status == STATUS_OK || (message.line == 4 && message.remedy[0] != '\0'));
    return status;
}

TEST(a_rig_from_a_browser_reaches_instruments_alone)
{
    static const char *const fine[] = {"tcp bench.hut:5025", "TCP [::1]:1", "serial /dev/ttyUSB0 19200 8N1", " serial\t/dev/ttyACM3",
                                       "serial /dev/ttyS0", "usbtmc /dev/usbtmc0", "serial /dev/serial/by-id/usb-Invented_7-if00",
                                       "serial /dev/rfcomm0 9600"};
    static const char *const wrong[] = {"usbtmc ../notes.txt", "usbtmc /dev/sda", "usbtmc /dev/usbtmc/../sda", "serial /dev/tty",
                                        "serial /dev/tty1", "serial /dev/pts/3", "serial /dev/ttyUSB0/../sda 9600",
                                        "serial /dev/serial/by-id/..", "serial /dev/serial/by-id/../../sda", "usbtmc /dev/usbtmc",
                                        "stdin", "log.csv", "workshop.book:3", "", "serial", "usbtmc", "tcpx a:1",
                                        "serial dev/ttyUSB0"};
    for (size_t k = 0; k < sizeof fine / sizeof *fine; k++)
        if (alone("lines", fine[k]) != STATUS_OK)
            test_failed(__FILE__, __LINE__, fine[k]);
    for (size_t k = 0; k < sizeof wrong / sizeof *wrong; k++)
        if (alone("file", wrong[k]) != STATUS_MALFORMED)
            test_failed(__FILE__, __LINE__, wrong[k]);
    CHECK(alone("none", "") == STATUS_OK);
}

TEST(a_rig_from_a_browser_names_no_file_in_its_settings)
{
    char key[] = "password file", value[] = "notes.txt";
    struct link_setting setting = {.key = key, .value = value, .line = 7, .column = 17};
    struct link link = {.name = "broker", .file = "hut.rig", .line = 4, .driver = "mqtt", .address = "tcp broker.hut:1883",
                        .settings = &setting, .setting_count = 1};
    struct links links = {.items = &link, .count = 1};
    struct message message = {0};
    CHECK(devices_alone(&links, &message) == STATUS_MALFORMED && message.line == 7);
    CHECK(strstr(message.what, "password file") != NULL);
    link.setting_count = 0;
    CHECK(devices_alone(&links, &message) == STATUS_OK);
}
