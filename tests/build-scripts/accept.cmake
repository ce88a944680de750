# Takes the plan as it is now. A file of CMake's own, because a command of a target cannot write its output to a file.
execute_process(
  COMMAND ${RAMTAILOR} pack ${SOURCE}/soc.yaml --json
  OUTPUT_VARIABLE plan
  COMMAND_ERROR_IS_FATAL ANY)
file(WRITE ${SOURCE}/accepted.json "${plan}")
