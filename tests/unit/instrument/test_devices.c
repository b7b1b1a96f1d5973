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
