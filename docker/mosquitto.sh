#!/bin/sh
# Starts Mosquitto with two users whose passwords come from the environment at every start, so that
# none stands in a file that is kept:
#   sunsteep  the service: hears everything, and alone speaks as the service
#   sensor    boards: publish whatever is not the service's own, and hear nothing
set -eu
umask 077
: "${SERVICE_PASSWORD:?is not set}" "${SENSOR_PASSWORD:?is not set}"
run=${RUN_FOLDER:-/run/mosquitto}

printf 'sunsteep:%s\nsensor:%s\n' "$SERVICE_PASSWORD" "$SENSOR_PASSWORD" > "$run/users"
mosquitto_passwd -U "$run/users"

cat > "$run/rights" << 'END'
user sunsteep
topic readwrite #
topic read $SYS/#

user sensor
topic write #
topic deny sunsteep/service/#
topic deny sunsteep/+/report/#
END

cat > "$run/mosquitto.conf" << END
listener ${PORT:-1883}
allow_anonymous false
password_file $run/users
acl_file $run/rights
persistence true
persistence_location ${DATA_FOLDER:-/mosquitto/data}/
# What boards send while the service is away waits here: two days of twelve points every ten seconds
# would be 207,360 messages. They are counted in bytes of payload too, and the greater limit holds.
max_queued_messages 250000
# The service acknowledges many at a time, each once it is on disk.
max_inflight_messages 1000
# A payload that the service reads has at most 64 KiB.
message_size_limit 131072
log_dest stderr
log_type error
log_type warning
log_type notice
END

# In place of this shell, so that Mosquitto itself is told to stop.
exec mosquitto -c "$run/mosquitto.conf"
